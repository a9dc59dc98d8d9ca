#pragma once
#include "ui/controls/page.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header

class QHBoxLayout;
class QVBoxLayout;

namespace ui {

class Label;

/// Something to choose from, over a part of the desk: framed, and as large as that part unless it says otherwise. While
/// it is open the keyboard stays with it and the desk's own keys rest.
class DeskOverlay : public QWidget {
    Q_OBJECT
public:
    DeskOverlay(QWidget& over, QWidget* parent);

signals:
    void closed();

protected:
    void appear(QWidget& keyboard); ///< itself, or what in it has the keyboard first
    void leave();
    void place();
    virtual QRect placeIn(const QRect& over) const { return over; }
    QVBoxLayout& column() const { return *m_column; }
    QHBoxLayout* addLine(); ///< inset at both sides
    struct Title {
        Label *left, *right;
    };
    Title addTitle();
    void addKeys(const QVector<KeyHint>& keys);

    bool event(QEvent*) override;
    bool eventFilter(QObject*, QEvent*) override;
    void paintEvent(QPaintEvent*) override;

private:
    void keepFocus(const QWidget* now);

    QWidget& m_over;
    QVBoxLayout* m_column;
    QWidget* m_keyboard = nullptr;
};

} // namespace ui
