#pragma once
#include <QTimer>
#include <QWidget>

namespace ui {

/// A sentence over an edge of the frame: at the top what to do instead, at the bottom what goes on.
class FrameMessage : public QWidget {
    Q_OBJECT
public:
    explicit FrameMessage(QWidget* over, Qt::Edge edge = Qt::TopEdge);
    void show(const QString& sentence);             ///< passes by itself; empty: nothing
    void keep(const QString& sentence);             ///< until another is given
    QString sentence() const { return m_sentence; } ///< empty while nothing is told

protected:
    bool eventFilter(QObject*, QEvent*) override;
    void paintEvent(QPaintEvent*) override;

private:
    void place();

    Qt::Edge m_edge;
    QString m_sentence;
    QTimer m_passes;
};

} // namespace ui
