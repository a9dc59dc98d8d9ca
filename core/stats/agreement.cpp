#include "core/stats/agreement.h"
#include "core/stats/distributions.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace stats {
namespace {

constexpr double limitFactor = 1.96; // as the limits are published everywhere; the exact quantile is 0.002 % less

} // namespace

Agreement agreement(std::span<const double> differences, double level)
{
    assert(level > 0 && level < 1);
    Agreement result;
    result.n = static_cast<int>(differences.size());
    if (result.n == 0)
        return result;
    const auto within = [&](double most) {
        return static_cast<int>(std::ranges::count_if(differences, [&](double d) { return std::abs(d) <= most; }));
    };
    result.equal = within(0);
    result.withinOne = within(1);
    result.bias = mean(differences);
    double squares = 0;
    for (const double d : differences)
        squares += d * d;
    const double n = result.n;
    result.readingSd = std::sqrt(squares / (2 * n));
    if (result.n < 2)
        return result;

    Agreement::Spread spread;
    spread.sd = standardDeviation(differences);
    spread.biasU = spread.sd / std::sqrt(n);
    const double halfWidth = coverageFactor(level, n - 1) * spread.biasU;
    spread.biasLow = result.bias - halfWidth;
    spread.biasHigh = result.bias + halfWidth;
    spread.limitLow = result.bias - limitFactor * spread.sd;
    spread.limitHigh = result.bias + limitFactor * spread.sd;
    spread.limitU = spread.sd * std::sqrt(3 / n);
    result.spread = spread;
    return result;
}

double repeatability(const Agreement& agreement) { return limitFactor * std::sqrt(2.0) * agreement.readingSd; }

} // namespace stats
