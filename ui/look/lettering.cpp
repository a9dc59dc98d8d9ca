#include "ui/look/lettering.h"

#include <QPainter>

namespace ui {

void setLettering(QPainter& painter, Text size, const QColor& colour, QFont::Weight weight)
{
    painter.setFont(font(size, weight));
    painter.setPen(colour);
}

void drawShortened(QPainter& painter, const QRect& box, int alignment, const QString& words, Qt::TextElideMode mode)
{
    painter.drawText(box, alignment, painter.fontMetrics().elidedText(words, mode, box.width()));
}

} // namespace ui
