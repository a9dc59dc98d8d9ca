#pragma once
#include <QAbstractButton>
#include <QVector>
#include <QWidget>

namespace ui {

class Page;

/// The strip of pages: their names with their state lines. Ctrl+1 to 5 belong to actions of the window.
class PageTabs : public QWidget {
    Q_OBJECT
public:
    explicit PageTabs(const QVector<Page*>& pages, QWidget* parent = nullptr);
    void setCurrent(int index);

signals:
    void chosen(int index);

private:
    QVector<QAbstractButton*> m_tabs;
};

} // namespace ui
