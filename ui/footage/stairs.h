#pragma once
#include "core/media/measure/trace.h"
#include <QRect>
#include <functional>
#include <optional>
#include <vector>

namespace ui {

/// Where a level stands in a plot: `low` on its lowest row, `high` on its highest.
struct LevelScale {
    double low = 0, high = 255;
    int top = 0, bottom = 0; ///< rows

    int row(double level) const;
};

/// Frames [first, last) of a trace as stairs: each frame a flat line `thickness` high over its own columns
/// [x(n), x(n + 1)), upright risers between. Never interpolated: a column shows its frame's level and nothing else.
/// Where several frames share a column it shows all of their range.
std::vector<QRect> stairs(const media::Trace& trace, std::int64_t first, std::int64_t last, const LevelScale& scale,
                          const std::function<int(std::int64_t)>& x, int thickness);

/// How much a region changed since the frame before, of luma and chroma the one that changed more, 0..255; empty
/// without one.
std::optional<double> changeIn(const media::RegionLevels& levels);

/// What bars of a whole trace stand on and reach up to: its usual least and most, so that one cut of the scene doesn't
/// flatten all else; never so near that noise looks like change.
LevelScale changeScale(const media::Trace& trace, int top, int bottom);

/// Frames [first, last) as bars on the scale's lowest row, each over its own columns [x(n), x(n + 1)); where several
/// frames share a column, their most. What exceeds the scale ends at its top, what is below it has no bar.
std::vector<QRect> changeBars(const media::Trace& trace, std::int64_t first, std::int64_t last, const LevelScale& scale,
                              const std::function<int(std::int64_t)>& x);

} // namespace ui
