#include "core/stats/order.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>
#include <vector>

using Catch::WithinAbs;
using Catch::WithinRel;

TEST_CASE("no values describe nothing", "[stats]")
{
    const stats::Summary s = stats::summarise({});
    CHECK(s.n == 0);
    CHECK_FALSE(s.mean);
    CHECK_FALSE(s.min);
    CHECK_FALSE(s.max);
    CHECK_FALSE(s.median);
    CHECK_FALSE(s.lowerQuartile);
    CHECK_FALSE(s.upperQuartile);
    CHECK_FALSE(s.sd);
}

TEST_CASE("one value has a place but no spread", "[stats]")
{
    const std::vector<double> values{92.5};
    const stats::Summary s = stats::summarise(values);
    CHECK(s.n == 1);
    CHECK(s.mean == 92.5);
    CHECK(s.min == 92.5);
    CHECK(s.max == 92.5);
    CHECK(s.median == 92.5);
    CHECK(s.lowerQuartile == 92.5);
    CHECK(s.upperQuartile == 92.5);
    CHECK_FALSE(s.sd);
}

TEST_CASE("values are described in any order", "[stats]")
{
    const std::vector<double> values{5, 1, 4, 2, 3, 9};
    const stats::Summary s = stats::summarise(values);
    CHECK(s.mean == 4);
    CHECK(s.min == 1);
    CHECK(s.max == 9);
    CHECK(s.median == 3.5);
    CHECK(s.lowerQuartile == 2.25); // 1 + 5/4 = 2.25th value: 2 + 0.25 (3 - 2)
    CHECK(s.upperQuartile == 4.75);
    CHECK_THAT(*s.sd, WithinRel(std::sqrt(40.0 / 5), 1e-15)); // squares of -3 -2 -1 0 1 5 add up to 40
}

TEST_CASE("equal values have a spread of exactly 0", "[stats]")
{
    const std::vector<double> values(7, 0.1);
    CHECK(stats::standardDeviation(values) == 0);
}

TEST_CASE("an interval of the median needs 6 values at 95 %", "[stats]")
{
    std::vector<double> values{15, 11, 14, 12, 13};
    CHECK_FALSE(stats::medianInterval(values, 0.95));
    CHECK_FALSE(stats::medianInterval({}, 0.95));
    CHECK_FALSE(stats::medianInterval(std::vector<double>{1}, 0.5));
    values.push_back(16);
    const auto interval = stats::medianInterval(values, 0.95);
    REQUIRE(interval);
    CHECK(interval->low == 11);
    CHECK(interval->high == 16);
    CHECK_THAT(interval->coverage, WithinAbs(1 - 2.0 / 64, 1e-14)); // both ends: all six on one side
}

TEST_CASE("the ranks of the median's interval never cross at low levels", "[stats]")
{
    const std::vector<double> values{1, 2};
    const auto interval = stats::medianInterval(values, 0.5);
    REQUIRE(interval);
    CHECK(interval->lowRank == 1);
    CHECK(interval->highRank == 2);
}

TEST_CASE("what is found by order without sorting is what sorting finds", "[stats]")
{
    std::mt19937 random(7);
    std::normal_distribution<double> normal(30, 4);
    for (const std::size_t size : {1u, 2u, 3u, 4u, 9u, 10u, 101u, 500u}) {
        CAPTURE(size);
        std::vector<double> values(size);
        for (double& value : values)
            value = std::round(normal(random) * 4) / 4; // with ties
        std::vector<double> sorted = values;
        std::sort(sorted.begin(), sorted.end());
        std::vector<double> work = values;
        CHECK(stats::medianOf(work) == stats::quantile(sorted, 0.5));
        for (const std::size_t place : {std::size_t{0}, size / 3, size - 1})
            CHECK(stats::nthOf(work, place) == sorted[place]);
    }
}
