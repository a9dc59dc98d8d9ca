#pragma once
#include "ui/window/page.h"
#include <QPointer>
#include <QWidget>

class QScrollArea;

namespace ui {

/// Keys of one page, under its name.
struct KeySection {
    QString title;
    QVector<KeyHint> keys;
};

/// All keys of all pages over the window; Esc, F1 or a click outside closes it.
class HelpOverlay : public QWidget {
    Q_OBJECT
public:
    explicit HelpOverlay(QWidget* window);
    void open(const QVector<KeySection>& sections);

protected:
    bool event(QEvent*) override;
    bool eventFilter(QObject*, QEvent*) override;
    void paintEvent(QPaintEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void resizeEvent(QResizeEvent*) override;

private:
    void close();
    void place();

    QScrollArea* m_scroll;
    QPointer<QWidget> m_focusBefore;
};

} // namespace ui
