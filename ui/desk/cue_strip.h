#pragma once
#include <QTimer>
#include <QWidget>

namespace ui {

/// What to do instead, over the top of the frame. Passes by itself, and with the next thing the analyst does.
class CueStrip : public QWidget {
    Q_OBJECT
public:
    explicit CueStrip(QWidget* over);
    void show(const QString& sentence);
    QString sentence() const { return m_sentence; } ///< empty while nothing is told

protected:
    bool eventFilter(QObject*, QEvent*) override;
    void paintEvent(QPaintEvent*) override;

private:
    void place();

    QString m_sentence;
    QTimer m_passes;
};

} // namespace ui
