#pragma once // part of applyLook(): what LookStyle paints
#include "ui/look/shapes.h"
#include <QStyleOption>

class QWidget;

namespace ui::style_paint {

void button(QPainter&, const QStyleOption&, const QWidget*);
void toolButton(QPainter&, const QStyleOption&);
void field(QPainter&, const QStyleOption&, bool withEdge); ///< line edits, combo and spin boxes
void frame(QPainter&, const QStyleOption&);
void popup(QPainter&, const QStyleOption&, const QColor& fill); ///< menus, tool tips
void indicator(QPainter&, const QStyleOption&, bool round);
void arrow(QPainter&, const QStyleOption&, QStyle::PrimitiveElement);
void itemState(QPainter&, const QStyleOption&);
void itemFocus(QPainter&, const QStyleOption&);
void focusRing(QPainter&, const QRectF& outer);
void menuBarItem(QPainter&, const QStyleOption&, const QStyle&);
void headerSection(QPainter&, const QStyleOption&);
void tab(QPainter&, const QStyleOption&);
void progress(QPainter&, const QStyleOption&);
void scrollBar(QPainter&, const QStyleOptionSlider&, const QRect& handle);

} // namespace ui::style_paint
