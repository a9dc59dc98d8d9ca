#pragma once
#include <QPainterPath>
#include <QString>
#include <QStringList>

namespace ui {

enum class ChartWeight { Regular, Semibold, Bold };

/// One line of text as outlines: starts at x = 0, baseline at y = 0, in pixels. Laid out with the bundled Open Sans
/// read straight from the program, so the same words give the same outlines whatever fonts the machine has. Only
/// characters that Open Sans lacks come from the machine.
struct ChartLine {
    QPainterPath outline;
    qreal width = 0; ///< advance, >= 0
};
/// Precondition: `pixelSize` > 0. Line breaks count as spaces.
ChartLine chartLine(const QString& text, ChartWeight weight, qreal pixelSize);
qreal chartWidth(const QString& text, ChartWeight weight, qreal pixelSize);

/// `text` in lines of at most `width` > 0; a word is broken only where it alone is wider. Nothing is left out.
QStringList chartWrapped(const QString& text, ChartWeight weight, qreal pixelSize, qreal width);

/// Heights above and below the baseline that letters with accents keep within, as parts of the pixel size.
inline constexpr qreal chartAscent = 0.95;
inline constexpr qreal chartDescent = 0.25;
/// Height of a capital, as part of the pixel size.
inline constexpr qreal chartCapital = 0.714;

} // namespace ui
