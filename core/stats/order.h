#pragma once
#include <cstddef>
#include <span>

/// Values by their order without sorting all of them: of half a million pairs that is what takes the time. Leaves
/// `values` in another order. Preconditions: not empty, all finite.
namespace stats {

/// The same as quantile() of the sorted ones at 0.5.
double medianOf(std::span<double> values);
/// The one with `place` < size others before it in ascending order.
double nthOf(std::span<double> values, std::size_t place);

} // namespace stats
