#pragma once
#include <optional>
#include <span>

namespace stats {

/// Two sets of values compared by their ranks alone: shown beside the verdict and never part of it.
struct RankCheck {
    double u = 0;       ///< Mann & Whitney (1947): pairs in which the first set's value is the larger, ties half
    double p = 1;       ///< two-sided
    bool exact = false; ///< p by counting: no ties, both sets below 50; else normal, corrected for ties and continuity
    double shift = 0;   ///< Hodges & Lehmann (1963): median of all differences, first less second
    std::optional<double> low,
        high; ///< of the shift, from ordered differences; empty where the sets are too small for `level`
    double level = 0;
};

/// Preconditions: neither is empty, 0 < level < 1. Time and memory grow with the product of the sizes.
RankCheck rankCheck(std::span<const double> first, std::span<const double> second, double level);

} // namespace stats
