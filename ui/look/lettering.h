#pragma once
#include "ui/look/tokens.h"

class QPainter;
class QRect;
class QString;

namespace ui {

/// Words painted from here on have that size and colour.
void setLettering(QPainter& painter, Text size, const QColor& colour, QFont::Weight weight = QFont::Normal);
/// One line of words, shortened to the width of `box` where it takes more. `alignment`: as QPainter::drawText().
void drawShortened(QPainter& painter, const QRect& box, int alignment, const QString& words,
                   Qt::TextElideMode mode = Qt::ElideRight);

} // namespace ui
