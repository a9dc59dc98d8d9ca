#pragma once
#include "ui/controls/page.h"
#include <QPointer>
#include <QWidget>

class QScrollArea;

namespace ui {

class SectionBar;

/// Keys of one page, under its name.
struct KeySection {
    QString title;
    QVector<KeyHint> keys;
};

/// What help says of one screen: what it is for, what to do next, what the words mean (Markdown, may be empty), and
/// keys.
struct HelpPage {
    QString name; ///< what others know it by
    QString title;
    QString text;
    QVector<KeySection> keys;
};

/// Help and keys over the window, a page at a time. Left and Right change the page, Up, Down, Page Up and Page Down
/// move it; Esc, F1 or a click outside closes it.
class HelpOverlay : public QWidget {
    Q_OBJECT
public:
    explicit HelpOverlay(QWidget* window);
    /// Shows the page of that name, or the first where there is none. `pages` isn't empty.
    void open(const QVector<HelpPage>& pages, const QString& name);
    QString current() const; ///< name of the page that shows

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
    void showPage();

    QWidget* m_panel;
    SectionBar* m_bar;
    QScrollArea* m_scroll;
    QVector<HelpPage> m_pages;
    QPointer<QWidget> m_focusBefore;
};

} // namespace ui
