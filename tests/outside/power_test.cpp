#include "core/stats/blocks.h"
#include "core/stats/planning.h"
#include "tests/outside/published_values.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace stats;

namespace {

/// Power of two groups of n, true difference d SDs.
double twoGroups(double n, double d, double alpha = 0.05) { return powerOf(d, std::sqrt(2 / n), 2 * n - 2, alpha); }

/// Trials as runs of one: what the usual two-sample plan asks for.
PlannedEffort planned(double d, double power, int comparisons = 1)
{
    const auto effort = runsNeeded({d, 0.05, comparisons, power}, {1, 0, 0}, 1);
    REQUIRE(effort);
    return *effort;
}

} // namespace

TEST_CASE("power of two groups is R's with both tails", "[outside]")
{
    // Source: manual of R's power.t.test, example n = 20, delta = 1, sd = 1: .8689528; with strict = TRUE 0.868953027725. Others
    // by the same call, the last where the far tail matters (without it 0.0402).
    CHECK_THAT(twoGroups(20, 1), WithinRel(0.868953027725, 1e-10));
    CHECK_THAT(twoGroups(64, 0.5), WithinRel(0.80145956, 1e-8));
    CHECK_THAT(twoGroups(63, 0.5), WithinRel(0.79516834, 1e-8));
    CHECK_THAT(twoGroups(10, 0.1), WithinRel(0.0551612921115, 1e-10));
}

TEST_CASE("power of one group is that of the G*Power manual", "[outside]")
{
    // Source: G*Power 3.1 manual ch. 19: paired, d 0.421637 and 0.2828427, n 50: .832114 and .500352; ch. 20: n 1492, d .1,
    // alpha .01: .900169. Further digits by R 4.2.2.
    CHECK_THAT(powerOf(0.421637, 1 / std::sqrt(50.0), 49, 0.05), WithinAbs(0.832114, 1e-6));
    CHECK_THAT(powerOf(0.2828427, 1 / std::sqrt(50.0), 49, 0.05), WithinRel(0.500351592391, 1e-7)); // d carries 7 digits
    CHECK_THAT(powerOf(0.1, 1 / std::sqrt(1492.0), 1491, 0.01), WithinRel(0.900168734413, 1e-10));
}

TEST_CASE("numbers needed are those of the textbooks", "[outside]")
{
    // Source: Cohen (1988): d = .5, power .80: 64 a group. R's manual: d = 1, power .90: 22.02, so 23. Lakens (2013): d = 1.13,
    // power .95: 44 in all.
    CHECK(planned(0.5, 0.8).runs == 64);
    CHECK(planned(1, 0.9).runs == 23);
    CHECK(planned(1.13, 0.95).runs == 22);
}

TEST_CASE("blocks are compared as pairs", "[outside]")
{
    // Source: R 4.2.2 manual of t.test, sleep data paired: mean -1.58, 95 % interval -2.45988576328 to -0.700114236723, 9
    // degrees of freedom. A pair is a block, its order turned in every second one.
    std::vector<RunMean> runs;
    for (std::size_t i = 0; i < sleepFirst.size(); ++i) {
        runs.push_back(i % 2 ? RunMean{true, sleepSecond[i]} : RunMean{false, sleepFirst[i]});
        runs.push_back(i % 2 ? RunMean{false, sleepFirst[i]} : RunMean{true, sleepSecond[i]});
    }
    const auto blocks = blockDifferences(runs, 0.95);
    REQUIRE(blocks);
    CHECK_THAT(blocks->mean.estimateMs, WithinRel(-1.58, 1e-12));
    CHECK(blocks->mean.dof == 9);
    CHECK_THAT(blocks->mean.low(), WithinRel(-2.45988576328, 1e-11));
    CHECK_THAT(blocks->mean.high(), WithinRel(-0.700114236723, 1e-11));
}
