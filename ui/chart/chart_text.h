#pragma once
#include <QByteArray>
#include <QPainterPath>
#include <QString>
#include <QStringList>
#include <optional>

namespace ui {

enum class ChartWeight { Regular, Semibold, Bold };

/// One line of text as outlines: starts at x = 0, baseline at y = 0.
struct ChartLine {
    QPainterPath outline;
    qreal width = 0; ///< advance, >= 0
};

/// Sets words with a font read straight from its bytes, so the same words give the same outlines whatever fonts the
/// machine has. Characters that it lacks come from the bundled Open Sans, and what that lacks from the machine. A
/// value: copies share the bytes. Members may be called from any thread. Precondition: pixel sizes are > 0.
class Typeface {
public:
    Typeface(); ///< the bundled Open Sans
    /// Empty when the bytes aren't a font. `bold` stands for Semibold and Bold; empty: `regular` does.
    static std::optional<Typeface> fromFiles(const QByteArray& regular, const QByteArray& bold);

    ChartLine line(const QString& text, ChartWeight weight, qreal pixelSize) const; ///< line breaks count as spaces
    qreal width(const QString& text, ChartWeight weight, qreal pixelSize) const;
    /// `text` in lines of at most `width` > 0; a word is broken only where it alone is wider. Nothing is left out.
    QStringList wrapped(const QString& text, ChartWeight weight, qreal pixelSize, qreal width) const;

private:
    /// By the number of the font: 0 is Open Sans.
    int m_number = 0;
    QByteArray m_regular, m_bold;
};

/// Heights above and below the baseline that letters with accents keep within, as parts of the pixel size.
inline constexpr qreal chartAscent = 0.95;
inline constexpr qreal chartDescent = 0.25;
/// Height of a capital, as part of the pixel size.
inline constexpr qreal chartCapital = 0.714;

} // namespace ui
