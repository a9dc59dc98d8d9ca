#include "core/stats/clusters.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <complex>
#include <map>
#include <numbers>
#include <vector>

namespace stats {
namespace {

constexpr std::size_t fewestForGroups = 8;
constexpr double mostWithinFew = 0.05, mostWithin = 0.08; // few: chance leaves wide gaps among them
constexpr std::size_t fewValues = 15;
constexpr double mostChance = 0.001;

double squares(std::span<const double> values)
{
    const double centre = mean(values);
    double sum = 0;
    for (const double v : values)
        sum += (v - centre) * (v - centre);
    return sum;
}

} // namespace

std::optional<TwoGroups> twoGroups(std::span<const double> values, double leastDistance)
{
    const std::size_t n = values.size();
    if (n < fewestForGroups)
        return std::nullopt;
    std::vector<double> sorted(values.begin(), values.end());
    std::sort(sorted.begin(), sorted.end());
    const std::span<const double> all(sorted);
    const std::size_t least = std::max<std::size_t>(3, (n + 4) / 5);
    const double total = squares(all);
    if (total <= 0)
        return std::nullopt;

    // Squares within both parts are all squares less those between their means, which running sums give.
    const double centre = mean(all);
    double sum = 0, best = -1;
    std::size_t split = 0;
    for (std::size_t i = 1; i < n; ++i) {
        sum += sorted[i - 1] - centre;
        const auto left = static_cast<double>(i), right = static_cast<double>(n - i);
        const double between = sum * sum / left + sum * sum / right;
        if (between > best) {
            best = between;
            split = i;
        }
    }
    const std::span<const double> low = all.first(split), high = all.subspan(split);
    if (std::min(low.size(), high.size()) < least
        || squares(low) + squares(high) > (n < fewValues ? mostWithinFew : mostWithin) * total)
        return std::nullopt;
    const TwoGroups groups{mean(low), mean(high), static_cast<int>(low.size()), static_cast<int>(high.size())};
    return groups.highMean - groups.lowMean >= leastDistance ? std::optional(groups) : std::nullopt;
}

std::optional<Bunching> bunching(std::span<const double> values, double period, double step)
{
    assert(period > 0 && step >= 0);
    const auto n = static_cast<double>(values.size());
    if (values.size() < fewestForGroups || step > period / 4)
        return std::nullopt;
    std::complex<double> sum;
    for (const double v : values)
        sum += std::polar(1.0, 2 * std::numbers::pi * std::fmod(v / period, 1.0));
    Bunching found;
    found.concentration = std::abs(sum) / n;
    double turn = std::arg(sum) / (2 * std::numbers::pi);
    turn -= std::floor(turn);
    found.phase = turn * period;
    const double square = n * found.concentration * found.concentration;
    found.p = std::exp(std::sqrt(1 + 4 * n + 4 * (n * n - n * square)) - (1 + 2 * n));
    if (found.p >= mostChance)
        return std::nullopt;
    std::map<long long, int> periods;
    for (const double v : values)
        ++periods[std::llround((v - found.phase) / period)];
    const double least = std::max(2.0, n / 10);
    const auto filled =
        std::count_if(periods.begin(), periods.end(), [&](const auto& each) { return each.second >= least; });
    return filled >= 2 ? std::optional(found) : std::nullopt;
}

} // namespace stats
