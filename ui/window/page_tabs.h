#pragma once
#include <QAbstractButton>
#include <QVector>
#include <QWidget>

namespace ui {

class Page;

/// One page's name with its state line.
class PageTab : public QAbstractButton {
    Q_OBJECT
public:
    explicit PageTab(Page& page, QWidget* parent = nullptr);
    QSize sizeHint() const override;
    QSize minimumSizeHint() const override { return sizeHint(); }
    Page& page() const { return m_page; }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    Page& m_page;
};

/// The strip of pages. Ctrl+1 to 5 belong to actions of the window.
class PageTabs : public QWidget {
    Q_OBJECT
public:
    explicit PageTabs(const QVector<Page*>& pages, QWidget* parent = nullptr);
    void setCurrent(int index);

signals:
    void chosen(int index);

private:
    QVector<PageTab*> m_tabs;
};

} // namespace ui
