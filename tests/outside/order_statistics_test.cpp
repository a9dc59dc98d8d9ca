#include "core/stats/summary.h"
#include "tests/outside/published_values.h"

#include <algorithm>
#include <catch2/catch.hpp>

using Catch::WithinAbs;
using Catch::WithinRel;

namespace {

double quantileOf(std::vector<double> values, double p)
{
    std::sort(values.begin(), values.end());
    return stats::quantile(values, p);
}

} // namespace

TEST_CASE("quantiles are Hyndman and Fan's type 7", "[outside]")
{
    // Source of the first row's data: NIST/SEMATECH e-Handbook 7.2.6.2, 90th percentile; there type 6 (95.1981), here
    // type 7 by R 4.2.2 quantile(x, 0.9, type = 7). Other rows: the same function of R on the data given.
    const std::vector<double> gauge{95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610,
                                    95.1591, 95.1195, 95.1065, 95.0925, 95.1990, 95.1682};
    const std::vector<double> growing{34, 21, 13, 8, 5, 3, 2, 1};
    const auto [values, p, expected] = GENERATE_COPY(table<std::vector<double>, double, double>({
        {gauge, 0.9, 95.19568},
        {growing, 0.05, 1.35},
        {growing, 0.1, 1.7},
        {growing, 0.25, 2.75},
        {growing, 0.5, 6.5},
        {growing, 0.75, 15},
        {growing, 0.9, 24.9},
        {growing, 0.95, 29.45},
        {{5}, 0.3, 5},
        {{1, 2}, 0.25, 1.25},
        {{1, 2}, 0.9, 1.9},
        {michelson, 0.05, 739},
        {michelson, 0.25, 807.5},
        {michelson, 0.5, 850},
        {michelson, 0.75, 892.5},
        {michelson, 0.95, 980},
    }));
    CHECK_THAT(quantileOf(values, p), WithinRel(expected, 1e-12)); // all have few decimals: rounding of doubles only
}

TEST_CASE("quartiles of a summary are the fences' type 7 quartiles", "[outside]")
{
    // R 4.2.2 quantile(type = 7) of the series with an outlier: 3, 8, 21.
    const std::vector<double> values{1, 2, 3, 5, 8, 13, 21, 34, 100};
    const stats::Summary s = stats::summarise(values);
    CHECK(s.lowerQuartile == 3);
    CHECK(s.median == 8);
    CHECK(s.upperQuartile == 21);
}

TEST_CASE("the median's interval takes the ranks that the binomial distribution gives", "[outside]")
{
    // Source: 1 - 2 pbinom(r - 1, n, 1/2) by R 4.2.2, largest r with at least 95 %; no such interval for n <= 5.
    const auto [n, low, high, coverage] = GENERATE(table<std::size_t, std::size_t, std::size_t, double>({
        {6, 1, 6, 0.96875},
        {9, 2, 8, 0.9609375},
        {10, 2, 9, 0.978515625},
        {15, 4, 12, 0.96484375},
        {20, 6, 15, 0.958610534668},
        {30, 10, 21, 0.957226054743},
        {50, 18, 33, 0.967160862436},
        {100, 40, 61, 0.964799799782},
    }));
    std::vector<double> values;
    for (std::size_t i = 0; i < n; ++i)
        values.push_back(static_cast<double>(n - i)); // n ... 1, so that a value is its own rank
    const auto interval = stats::medianInterval(values, 0.95);
    REQUIRE(interval);
    CHECK(interval->lowRank == low);
    CHECK(interval->highRank == high);
    CHECK(interval->low == static_cast<double>(low));
    CHECK(interval->high == static_cast<double>(high));
    CHECK_THAT(interval->coverage, WithinAbs(coverage, 1e-12)); // 12 digits given
    CHECK_FALSE(stats::medianInterval(std::vector<double>{1, 2, 3, 4, 5}, 0.95));
}
