#pragma once
#include "ui/footage/stairs.h"
#include <optional>

namespace ui {

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
