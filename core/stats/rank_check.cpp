#include "core/stats/rank_check.h"
#include "core/stats/distributions.h"
#include "core/stats/order.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <vector>

namespace stats {
namespace {

constexpr std::size_t sizeForNormal = 50;

/// P(U <= u) for u = 0, 1, ... m n without ties: ways to choose m of m + n ranks, by what they exceed the least sum.
std::vector<double> cumulativeU(std::size_t m, std::size_t n)
{
    std::vector<std::vector<double>> ways(m + 1, std::vector<double>(m * n + 1, 0));
    ways[0][0] = 1;
    for (std::size_t item = 0; item < m + n;
         ++item) // a rank chosen as the j-th has item - (j - 1) of the others below it
        for (std::size_t j = std::min(m, item + 1); j >= 1; --j) {
            const std::size_t below = item - (j - 1);
            if (below > n)
                continue;
            for (std::size_t u = below; u <= m * n; ++u)
                ways[j][u] += ways[j - 1][u - below];
        }
    double all = 0;
    for (double& w : ways[m])
        w = all += w;
    for (double& w : ways[m])
        w /= all;
    return ways[m];
}

/// Sum of t^3 - t over groups of t equal values.
double tieTerm(std::span<const double> first, std::span<const double> second)
{
    std::vector<double> all(first.begin(), first.end());
    all.insert(all.end(), second.begin(), second.end());
    std::sort(all.begin(), all.end());
    double sum = 0;
    for (std::size_t start = 0; start < all.size();) {
        const auto end = std::upper_bound(all.begin() + static_cast<std::ptrdiff_t>(start), all.end(), all[start]);
        const auto t = static_cast<double>(end - all.begin()) - static_cast<double>(start);
        sum += t * t * t - t;
        start = static_cast<std::size_t>(end - all.begin());
    }
    return sum;
}

} // namespace

RankCheck rankCheck(std::span<const double> first, std::span<const double> second, double level)
{
    assert(!first.empty() && !second.empty() && level > 0 && level < 1);
    RankCheck check;
    check.level = level;
    std::vector<double> differences;
    differences.reserve(first.size() * second.size());
    for (const double a : first)
        for (const double b : second) {
            differences.push_back(a - b);
            check.u += a > b ? 1 : a == b ? 0.5 : 0;
        }
    check.shift = medianOf(differences);

    const auto m = static_cast<double>(first.size()), n = static_cast<double>(second.size());
    const double ties = tieTerm(first, second);
    check.exact = ties == 0 && std::max(first.size(), second.size()) < sizeForNormal;
    std::size_t rank = 0; // of the interval's lower end; 0 where even the whole range covers too little
    if (check.exact) {
        const std::vector<double> cumulative = cumulativeU(first.size(), second.size());
        const auto u = static_cast<std::size_t>(std::min(check.u, m * n - check.u));
        check.p = std::min(2 * cumulative[u], 1.0);
        while (cumulative[rank] < (1 - level) / 2)
            ++rank;
    } else {
        const double variance = m * n / 12 * (m + n + 1 - ties / ((m + n) * (m + n - 1)));
        const double off = std::max(std::abs(check.u - m * n / 2) - 0.5, 0.0);
        check.p = variance > 0 ? normalTwoSidedP(off / std::sqrt(variance)) : 1;
        const double reach = coverageFactor(level, endlessDof) * std::sqrt(m * n * (m + n + 1) / 12);
        rank = static_cast<std::size_t>(std::max(std::floor(m * n / 2 - reach), 0.0));
    }
    if (rank >= 1) {
        check.low = nthOf(differences, rank - 1);
        check.high = nthOf(differences, differences.size() - rank);
    }
    return check;
}

} // namespace stats
