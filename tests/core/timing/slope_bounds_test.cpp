#include "core/timing/slope_bounds.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>
#include <random>

using Catch::WithinAbs;

namespace {

struct Bar {
    double x, low, high;
};

/// All pairs, the slow plain way.
std::pair<double, double> plainBounds(const std::vector<Bar>& bars)
{
    double lowest = -std::numeric_limits<double>::infinity(), highest = std::numeric_limits<double>::infinity();
    for (std::size_t j = 0; j < bars.size(); ++j)
        for (std::size_t i = 0; i < j; ++i) {
            lowest = std::max(lowest, (bars[j].low - bars[i].high) / (bars[j].x - bars[i].x));
            highest = std::min(highest, (bars[j].high - bars[i].low) / (bars[j].x - bars[i].x));
        }
    return {lowest, highest};
}

} // namespace

TEST_CASE("hulls bound the slope exactly as all pairs of bars do", "[timing]")
{
    std::mt19937 random(GENERATE(1u, 2u, 3u, 4u, 5u));
    std::uniform_real_distribution<double> unit(0, 1);
    const double slope = 1 + 3 * unit(random);
    std::vector<Bar> bars;
    timing::SlopeBounds bounds;
    double x = 0;
    for (int i = 0; i < 300; ++i) {
        x += 1 + std::floor(3 * unit(random));
        const double y = slope * x + unit(random) - 0.5;
        const Bar bar{x, y - 0.5 - 0.2 * unit(random), y + 0.5};
        bars.push_back(bar);
        const auto [lowest, highest] = plainBounds(bars);
        if (lowest > highest) {
            CHECK_FALSE(bounds.add(bar.x, bar.low, bar.high));
            bars.pop_back(); // a bar refused leaves no trace
            continue;
        }
        REQUIRE(bounds.add(bar.x, bar.low, bar.high));
        if (i == 0)
            continue;
        CHECK_THAT(bounds.lowest(), WithinAbs(lowest, 1e-12)); // same divisions in another order
        CHECK_THAT(bounds.highest(), WithinAbs(highest, 1e-12));
    }
    CHECK(bars.size() > 100);
}

TEST_CASE("slope bounds given beforehand stay", "[timing]")
{
    timing::SlopeBounds bounds(1, 2);
    CHECK(bounds.add(0, 0, 0));
    CHECK_FALSE(bounds.add(1, 3, 4));
    CHECK(bounds.add(1, 1.5, 4));
    CHECK(bounds.lowest() == 1.5);
    CHECK(bounds.highest() == 2);
}
