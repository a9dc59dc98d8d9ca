#pragma once
#include <optional>
#include <span>

namespace stats {

/// Values that stand in two groups with nothing between: a mean of both describes neither.
struct TwoGroups {
    double lowMean = 0, highMean = 0;
    int low = 0, high = 0; ///< how many in each
};

/// Splits the sorted values where the squares within both parts are least (two means in one dimension). Two groups
/// where that leaves at most 0.08 of all squares, 0.05 below 15 values (evenly spread values keep 0.25, normal ones
/// 0.36), each part holds 3 values and a fifth of all, and the means lie at least `leastDistance` apart. Empty for
/// fewer than 8 values, where chance splits are common. The bounds are our own: one-mode samples of 10 and more pass it
/// in under 1 of 100 (simulated in the tests).
std::optional<TwoGroups> twoGroups(std::span<const double> values, double leastDistance);

/// Values that stand near one phase of a period, in more than one period.
struct Bunching {
    double phase = 0;         ///< 0 <= phase < period: where they stand
    double concentration = 0; ///< length of the mean direction, 0 spread evenly to 1 all alike
    double p = 1; ///< Rayleigh's test, chance of as much where phases are random (Mardia & Jupp 2000, 6.3; from memory)
};

/// Empty unless p < 0.001 and two periods hold at least 2 values and a tenth of all. `step`, in which values are
/// counted, must be at most a quarter of the period; coarser counting bunches by itself and gives empty.
std::optional<Bunching> bunching(std::span<const double> values, double period, double step);

} // namespace stats
