#pragma once
#include "ui/look/tokens.h"
#include <QIcon>

class QApplication;
class QWidget;

namespace ui {

/// Fonts, style and colours of the whole program. Call once, right after QApplication is made; dark until told
/// otherwise. Throws core::Error (NotFound) when the bundled fonts are missing from the program.
void applyLook(QApplication&);

/// Switches everything on screen. Widgets that keep painted pictures hear of it by QEvent::PaletteChange.
void setTheme(Theme);

QIcon programIcon();

/// Controls take 28 px; this makes one 24 px high, for tool rows.
void makeCompact(QWidget& control);

/// The 2 px ring inside `rect`, for views that paint their own focus. Other controls get theirs from the style.
void paintFocusInside(class QPainter&, const class QRectF& rect);

} // namespace ui
