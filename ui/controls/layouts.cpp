#include "ui/controls/layouts.h"
#include "ui/look/look.h"
#include "ui/look/panel.h"

#include <QKeyEvent>

namespace ui {
namespace {

/// Keys are for what lies inside and for the page around, not for scrolling.
class KeylessScrollArea : public QScrollArea {
protected:
    void keyPressEvent(QKeyEvent* event) override { event->ignore(); }
};

template <class Layout> Layout* withoutMargins(Layout* layout, int spacing)
{
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(spacing);
    return layout;
}

void fill(QWidget& widget, QPalette::ColorRole role)
{
    widget.setAutoFillBackground(true);
    widget.setBackgroundRole(role);
}

} // namespace

QVBoxLayout* columnIn(QWidget* of, int spacing) { return withoutMargins(new QVBoxLayout(of), spacing); }

QHBoxLayout* rowIn(QWidget* of, int spacing) { return withoutMargins(new QHBoxLayout(of), spacing); }

void emptyOut(QLayout& layout)
{
    while (QLayoutItem* item = layout.takeAt(0)) {
        delete item->widget();
        delete item;
    }
}

void addWidgets(QBoxLayout& layout, std::initializer_list<QWidget*> widgets)
{
    for (QWidget* widget : widgets)
        layout.addWidget(widget);
}

QPushButton* compactButton(const QString& text, const char* name, const QString& toolTip)
{
    auto* button = called(name, new QPushButton(text));
    button->setToolTip(toolTip);
    makeCompact(*button);
    return button;
}

QScrollArea* scrolled(QWidget* content)
{
    auto* area = new KeylessScrollArea;
    area->setFrameShape(QFrame::NoFrame);
    area->setWidgetResizable(true);
    area->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    area->setBackgroundRole(QPalette::Window);
    area->setFocusPolicy(Qt::NoFocus);
    area->setWidget(content);
    return area;
}

QVBoxLayout* scrolledColumn(Panel& panel)
{
    auto* content = new QWidget;
    auto* column = new QVBoxLayout(content);
    column->setContentsMargins(grid::padding, 0, grid::padding, 8);
    panel.body()->setContentsMargins(0, 0, 0, 0);
    panel.body()->addWidget(scrolled(content));
    return column;
}

void showGutters(QWidget& widget) { fill(widget, QPalette::Shadow); }

void showPanel(QWidget& widget) { fill(widget, QPalette::Window); }

} // namespace ui
