#include "core/stats/trend.h"
#include "core/stats/distributions.h"
#include "core/stats/order.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <vector>

namespace stats {
namespace {

constexpr std::size_t mostForExact = 10; // beyond it the normal distribution is good to the third digit of p

double tiedPairsTerm(std::vector<double> sorted)
{
    std::sort(sorted.begin(), sorted.end());
    double sum = 0;
    for (std::size_t first = 0; first < sorted.size();) {
        std::size_t end = first;
        while (end < sorted.size() && sorted[end] == sorted[first])
            ++end;
        const auto t = static_cast<double>(end - first);
        sum += t * (t - 1) * (2 * t + 5);
        first = end;
    }
    return sum;
}

/// P(|S| >= |s|) over all orders of n different values. An order with k inversions has S = n(n - 1)/2 - 2k.
double exactP(std::size_t n, double s)
{
    std::vector<double> orders{1}; // by inversions
    for (std::size_t i = 2; i <= n; ++i) {
        std::vector<double> next(orders.size() + i - 1, 0);
        for (std::size_t k = 0; k < orders.size(); ++k)
            for (std::size_t more = 0; more < i; ++more)
                next[k + more] += orders[k];
        orders = std::move(next);
    }
    double all = 0, extreme = 0;
    const double most = static_cast<double>(n * (n - 1)) / 2;
    for (std::size_t k = 0; k < orders.size(); ++k) {
        all += orders[k];
        if (std::abs(most - 2 * static_cast<double>(k)) >= std::abs(s))
            extreme += orders[k];
    }
    return extreme / all;
}

} // namespace

Trend trend(std::span<const double> inOrder)
{
    assert(inOrder.size() >= 2);
    Trend result;
    result.n = inOrder.size();
    std::vector<double> steps;
    steps.reserve(result.n * (result.n - 1) / 2);
    for (std::size_t i = 0; i < result.n; ++i)
        for (std::size_t j = i + 1; j < result.n; ++j) {
            const double step = inOrder[j] - inOrder[i];
            result.s += (step > 0) - (step < 0);
            steps.push_back(step / static_cast<double>(j - i));
        }
    result.slope = medianOf(steps);

    const auto n = static_cast<double>(result.n);
    const double ties = tiedPairsTerm({inOrder.begin(), inOrder.end()});
    result.variance = (n * (n - 1) * (2 * n + 5) - ties) / 18;
    if (result.variance > 0 && result.s != 0)
        result.z = (result.s - (result.s > 0 ? 1 : -1)) / std::sqrt(result.variance);
    result.exact = ties == 0 && result.n <= mostForExact;
    result.p = result.exact ? exactP(result.n, result.s) : normalTwoSidedP(result.z);
    return result;
}

} // namespace stats
