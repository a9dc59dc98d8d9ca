#include "core/stats/agreement.h"

#include <catch2/catch.hpp>
#include <vector>

using Catch::WithinRel;

TEST_CASE("nothing read twice gives no agreement, one pair no spread", "[stats]")
{
    CHECK(stats::agreement({}, 0.95).n == 0);
    CHECK(stats::agreement({}, 0.95).readingSd == 0);
    const stats::Agreement one = stats::agreement(std::vector<double>{-2}, 0.95);
    CHECK(one.n == 1);
    CHECK(one.equal == 0);
    CHECK(one.withinOne == 0);
    CHECK(one.bias == -2);
    CHECK_FALSE(one.spread);
}

TEST_CASE("equal readings agree without spread", "[stats]")
{
    const stats::Agreement same = stats::agreement(std::vector<double>{0, 0, 0}, 0.95);
    CHECK(same.equal == 3);
    CHECK(same.withinOne == 3);
    REQUIRE(same.spread);
    CHECK(same.spread->sd == 0);
    CHECK(same.spread->limitLow == 0);
    CHECK(same.spread->biasHigh == 0);
    CHECK(stats::repeatability(same) == 0);
}

TEST_CASE("a reader who is always one frame late is told by the bias, not by the spread", "[stats]")
{
    const stats::Agreement late = stats::agreement(std::vector<double>{1, 1, 1, 1}, 0.95);
    CHECK(late.bias == 1);
    CHECK(late.equal == 0);
    CHECK(late.withinOne == 4);
    CHECK(late.spread->sd == 0);
    CHECK_THAT(late.readingSd * late.readingSd, WithinRel(0.5, 1e-14)); // sum d^2 / 2n by hand; rounding of a root
}
