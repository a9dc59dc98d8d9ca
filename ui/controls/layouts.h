#pragma once
#include <QHBoxLayout>
#include <QPushButton>
#include <QScrollArea>
#include <QVBoxLayout>

namespace ui {

class Panel;

/// A column or a row without margins; `of`: whose it is, null for one that goes into another layout. -1: the style's
/// spacing.
QVBoxLayout* columnIn(QWidget* of, int spacing = -1);
QHBoxLayout* rowIn(QWidget* of, int spacing = -1);
/// Takes out and deletes all that lies in it.
void emptyOut(QLayout& layout);
void addWidgets(QBoxLayout& layout, std::initializer_list<QWidget*> widgets);

/// A button for tool rows; `name` as for called(), may be empty.
QPushButton* compactButton(const QString& text, const char* name = "", const QString& toolTip = {});

/// `content` in a frameless area that scrolls up and down only, by wheel and bar; keys pass through it.
QScrollArea* scrolled(QWidget* content);
/// Has all below the panel's title scroll; what is added to the column, margins 12, 0, 12, 8, stands at its top.
QVBoxLayout* scrolledColumn(Panel& panel);

/// Gives a page or a column of panels the colour that shows in the 1 px gaps between panels.
void showGutters(QWidget& widget);
/// Gives a bar between gutters the colour of panels.
void showPanel(QWidget& widget);

/// The widget under the name by which it can be found (QObject::findChild).
template <class Widget> Widget* called(const char* name, Widget* widget)
{
    widget->setObjectName(QString::fromLatin1(name));
    return widget;
}

} // namespace ui
