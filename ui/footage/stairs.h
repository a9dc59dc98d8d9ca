#pragma once
#include "core/media/measure/trace.h"
#include <QRect>
#include <functional>
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

} // namespace ui
