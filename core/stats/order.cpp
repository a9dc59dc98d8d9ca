#include "core/stats/order.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <array>
#include <cassert>

namespace stats {

double nthOf(std::span<double> values, std::size_t place)
{
    assert(place < values.size());
    const auto wanted = values.begin() + static_cast<std::ptrdiff_t>(place);
    std::nth_element(values.begin(), wanted, values.end());
    return *wanted;
}

double medianOf(std::span<double> values)
{
    assert(!values.empty());
    const std::size_t lower = (values.size() - 1) / 2;
    const double low = nthOf(values, lower);
    if (values.size() % 2 == 1)
        return low;
    const std::array middle{low,
                            *std::min_element(values.begin() + static_cast<std::ptrdiff_t>(lower) + 1, values.end())};
    return quantile(middle, 0.5);
}

} // namespace stats
