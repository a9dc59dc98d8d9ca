#pragma once
#include <cstddef>
#include <span>

namespace stats {

/// Whether values rise or fall in the order given: Mann (1945) and Kendall, with Sen's (1968) slope.
struct Trend {
    std::size_t n = 0;
    double s = 0;        ///< pairs that rise less pairs that fall
    double variance = 0; ///< of s without a trend, corrected for ties (Kendall 1975)
    double z = 0;        ///< s less 1 towards 0 (continuity) over its SD; 0 where all values are equal
    double p = 1;        ///< two-sided
    bool exact = false;  ///< p by counting orders: no ties and n <= 10; else from z
    double slope = 0;    ///< median over all pairs of the step a place
};

/// Precondition: at least 2 values.
Trend trend(std::span<const double> inOrder);

} // namespace stats
