#pragma once
#include <vector>

namespace ui {

/// Where dots go so that each can be seen: `x` stays exact, dots only move up or down. Returns one offset a dot,
/// within +-`room`, in the order given. Where more dots share a place than fit, spacing shrinks and they overlap
/// evenly. Preconditions: `diameter` > 0, `room` >= 0, all in the same unit.
std::vector<double> stackDots(const std::vector<double>& x, double diameter, double room);

} // namespace ui
