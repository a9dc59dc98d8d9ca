#pragma once
#include "ui/look/tokens.h"
#include <QRectF>
#include <QVector>
#include <optional>

class QPainter;

namespace ui {

/// Painted signs, each always beside its word. Filled is a mark, hollow a hint or unmarked.
enum class Shape {
    Press,
    PressHollow, ///< triangle down
    Response,
    ResponseHollow, ///< square
    Delay,
    Note,
    Check, ///< span between two ends; lines of text; tick
    TrialProposed,
    TrialHalfRead,
    TrialRead,
    TrialDoubt,
    TrialRejected,
    TrialToSettle, ///< two strokes, press left
    ClockSettled,
    ClockProposed,
    ClockDispute,
    ClockUnknown, ///< disc
    Warning,      ///< diamond
    ArrowLeft,
    ArrowRight,
    ArrowUp,
    ArrowDown,
    Chevron,
};

QSize shapeSize(Shape); ///< 12 x 12, trials 20 x 14

/// Centred in `box` at its own size, shrunk when the box is smaller. Colours from the tokens by what it means; `colour`
/// replaces all of them (grey in a legend).
void paintShape(QPainter&, Shape, const QRectF& box, const Tokens& = tokens(), std::optional<QColor> colour = {});

/// One stroke a trial, in groups of five.
enum class Stroke { Open, HalfRead, Read, Rejected };
/// From the left of `box`; strokes get narrower when they don't fit, and become a bar when even 1 px doesn't.
void paintProgress(QPainter&, const QRectF& box, const QVector<Stroke>&, const Tokens& = tokens());

/// An interval of a difference against the band from -margin to +margin, all in one unit.
struct VerdictGlyph {
    double low = 0, high = 0; ///< ends of the interval
    double margin = 0;        ///< >= 0
    double from = 0, to = 0;  ///< what the left and right edge of the box stand for; from < to
    std::optional<double> estimate{};
    std::optional<double> sameLow{}, sameHigh{}; ///< inner marks within low and high
};
/// An end that lies outside the box is drawn as an arrow head at its edge.
void paintVerdict(QPainter&, const QRectF& box, const VerdictGlyph&, const Tokens& = tokens());

/// Fill and 3 px bar at the left of a selected row, fill of a hovered one.
void paintRowState(QPainter&, const QRectF& row, bool selected, bool hovered, const Tokens& = tokens());

} // namespace ui
