#pragma once
#include <cstddef>
#include <span>
#include <vector>

namespace stats {

/// Median of the distances to the median, as it is: not scaled to an SD. Precondition: not empty.
double medianAbsoluteDeviation(std::span<const double> values);

/// A value that stands apart. A flag only: nothing that uses it takes the value out.
struct Outlier {
    std::size_t place = 0; ///< in `values`
    bool far = false;      ///< beyond 3 of the spread rather than 1.5
    bool operator==(const Outlier&) const = default;
};

/// Fences after Tukey (1977): quartiles (Hyndman & Fan type 7) and 1.5 or 3 times the distance between them.
struct Fences {
    double innerLow = 0, innerHigh = 0, outerLow = 0, outerHigh = 0;
};

/// The distance between quartiles is never taken below `leastSpread` >= 0, so that counts which are nearly all equal
/// don't make an outlier of one count more. Precondition: not empty.
Fences fences(std::span<const double> values, double leastSpread);
/// In the order of `values`.
std::vector<Outlier> outliers(std::span<const double> values, const Fences& fences);

} // namespace stats
