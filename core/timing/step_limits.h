#pragma once // what stamp_pattern.cpp and stamp_pieces.cpp go by
#include <algorithm>
#include <cstddef>
#include <vector>

namespace timing {

/// As many steps in a row that aren't one nominal step are another rate (a ramp), not lost frames.
inline constexpr std::size_t ownRate = 8;
/// A measured step may lie this part of a step off a whole number and still count as that number.
inline constexpr double measuredReach = 0.35;

/// The upper one of the two middle values; `values` aren't empty.
inline double middleOf(std::vector<double> values)
{
    const auto middle = values.begin() + values.size() / 2;
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

} // namespace timing
