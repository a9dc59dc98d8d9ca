#include "core/stats/summary.h"
#include "core/stats/distributions.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <vector>

namespace stats {
namespace {

/// Neumaier's compensated sum: keeps what rounding drops, also where a term is larger than the sum so far.
class Sum {
public:
    void add(double term)
    {
        const double next = m_sum + term;
        m_dropped += std::abs(m_sum) >= std::abs(term) ? (m_sum - next) + term : (term - next) + m_sum;
        m_sum = next;
    }
    double value() const { return m_sum + m_dropped; }

private:
    double m_sum = 0;
    double m_dropped = 0;
};

std::vector<double> ascending(std::span<const double> values)
{
    std::vector<double> sorted(values.begin(), values.end());
    std::sort(sorted.begin(), sorted.end());
    return sorted;
}

} // namespace

double mean(std::span<const double> values)
{
    assert(!values.empty());
    Sum sum;
    for (double v : values)
        sum.add(v);
    return sum.value() / static_cast<double>(values.size());
}

double standardDeviation(std::span<const double> values)
{
    assert(values.size() >= 2);
    const double centre = mean(values);
    Sum squares;
    Sum rest; // of the deviations: not quite 0, because the mean is rounded
    for (double v : values) {
        squares.add((v - centre) * (v - centre));
        rest.add(v - centre);
    }
    const auto n = static_cast<double>(values.size());
    const double corrected = squares.value() - rest.value() * rest.value() / n;
    return std::sqrt(std::max(corrected, 0.0) / (n - 1));
}

double quantile(std::span<const double> ascending, double p)
{
    assert(!ascending.empty() && p >= 0 && p <= 1);
    const double place = static_cast<double>(ascending.size() - 1) * p;
    const auto below = static_cast<std::size_t>(place);
    const double part = place - static_cast<double>(below);
    if (part == 0)
        return ascending[below];
    return ascending[below] + part * (ascending[below + 1] - ascending[below]);
}

Summary summarise(std::span<const double> values)
{
    Summary summary;
    summary.n = values.size();
    if (values.empty())
        return summary;
    const std::vector<double> sorted = ascending(values);
    summary.mean = mean(values);
    summary.min = sorted.front();
    summary.max = sorted.back();
    summary.lowerQuartile = quantile(sorted, 0.25);
    summary.median = quantile(sorted, 0.5);
    summary.upperQuartile = quantile(sorted, 0.75);
    if (values.size() >= 2)
        summary.sd = standardDeviation(values);
    return summary;
}

std::optional<MedianInterval> medianInterval(std::span<const double> values, double level)
{
    assert(level > 0 && level < 1);
    const int n = static_cast<int>(values.size());
    // The median lies outside (x_(r), x_(n+1-r)) with probability 2 P(X <= r - 1), X the number of values below it.
    const auto coverage = [n](int rank) { return 1 - 2 * fairBinomialCdf(rank - 1, n); };
    if (n < 2 || coverage(1) < level)
        return std::nullopt;
    int rank = 1;
    while (2 * (rank + 1) <= n && coverage(rank + 1) >= level)
        ++rank;
    const std::vector<double> sorted = ascending(values);
    const auto low = static_cast<std::size_t>(rank);
    const auto high = static_cast<std::size_t>(n + 1 - rank);
    return MedianInterval{sorted[low - 1], sorted[high - 1], low, high, coverage(rank)};
}

} // namespace stats
