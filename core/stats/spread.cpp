#include "core/stats/spread.h"
#include "core/stats/order.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace stats {

double medianAbsoluteDeviation(std::span<const double> values)
{
    assert(!values.empty());
    std::vector<double> work(values.begin(), values.end());
    const double median = medianOf(work);
    for (double& v : work)
        v = std::abs(v - median);
    return medianOf(work);
}

Fences fences(std::span<const double> values, double leastSpread)
{
    assert(!values.empty() && leastSpread >= 0);
    std::vector<double> sorted(values.begin(), values.end());
    std::sort(sorted.begin(), sorted.end());
    const double lower = quantile(sorted, 0.25), upper = quantile(sorted, 0.75);
    const double spread = std::max(upper - lower, leastSpread);
    return {lower - 1.5 * spread, upper + 1.5 * spread, lower - 3 * spread, upper + 3 * spread};
}

std::vector<Outlier> outliers(std::span<const double> values, const Fences& fences)
{
    std::vector<Outlier> flagged;
    for (std::size_t i = 0; i < values.size(); ++i)
        if (values[i] < fences.innerLow || values[i] > fences.innerHigh)
            flagged.push_back({i, values[i] < fences.outerLow || values[i] > fences.outerHigh});
    return flagged;
}

} // namespace stats
