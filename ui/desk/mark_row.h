#pragma once
#include <QStringList>
#include <QWidget>
#include "ui/look/shapes.h"

namespace ui {

/// One line of the trial's panel: sign, word, value, and at the right what the key does next. A click on the value goes
/// to the mark, one on the right end does what the key does.
class MarkRow : public QWidget {
    Q_OBJECT
public:
    MarkRow(const QString& word, const QStringList& caps, QWidget* parent = nullptr);
    struct Shown {
        Shape shape = Shape::Press;
        QString value;
        bool given = false;  ///< the value is a mark
        QString trailing;    ///< "marked", "mark 9451"
        bool next = false;   ///< this is what comes next
        bool enabled = true; ///< the key works
    };
    void show(const Shown& what);
    QSize sizeHint() const override { return {240, 28}; }

signals:
    void goAsked();
    void keyAsked();

protected:
    void paintEvent(QPaintEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void leaveEvent(QEvent*) override;

private:
    enum class Part { None, Value, Key };
    int trailingLeft() const;
    Part partAt(const QPoint& place) const;

    QString m_word;
    QStringList m_caps;
    Shown m_shown;
    Part m_hovered = Part::None;
};

} // namespace ui
