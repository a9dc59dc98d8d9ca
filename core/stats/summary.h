#pragma once
#include <cstddef>
#include <optional>
#include <span>

namespace stats {

/// Plain description of a set of values. What too few values can't give is empty, never invented.
struct Summary {
    std::size_t n = 0;
    std::optional<double> mean, min, max;                       ///< n >= 1
    std::optional<double> median, lowerQuartile, upperQuartile; ///< n >= 1; Hyndman & Fan type 7
    std::optional<double> sd;                                   ///< n >= 2, divides by n - 1
};

/// `values` in any order, all finite.
Summary summarise(std::span<const double> values);

/// Two passes with compensated sums, so that large offsets cost no digits. Precondition: not empty.
double mean(std::span<const double> values);
/// Divides by n - 1. Precondition: at least 2.
double standardDeviation(std::span<const double> values);

/// Hyndman & Fan (1996) type 7: x(h) with h = 1 + (n - 1) p. Preconditions: ascending, not empty, 0 <= p <= 1.
double quantile(std::span<const double> ascending, double p);

/// Interval of the median by order statistics: holds whatever the distribution.
struct MedianInterval {
    double low = 0, high = 0;
    std::size_t lowRank = 0, highRank = 0; ///< from 1, in ascending order
    double coverage = 0;                   ///< what it truly covers, at least the level asked for
};

/// The narrowest symmetric pair of ranks that covers at least `level`; empty where n is too small (95 %: n < 6).
/// `values` in any order, 0 < level < 1.
std::optional<MedianInterval> medianInterval(std::span<const double> values, double level);

} // namespace stats
