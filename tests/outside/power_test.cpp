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
    // Source: manual of R's power.t.test, example n = 20, delta = 1, sd = 1: .8689528; with strict = TRUE
    // 0.868953027725. Others by the same call, the last where the far tail matters (without it 0.0402).
    CHECK_THAT(twoGroups(20, 1), WithinRel(0.868953027725, 1e-10));
    CHECK_THAT(twoGroups(64, 0.5), WithinRel(0.80145956, 1e-8));
    CHECK_THAT(twoGroups(63, 0.5), WithinRel(0.79516834, 1e-8));
    CHECK_THAT(twoGroups(10, 0.1), WithinRel(0.0551612921115, 1e-10));
}

TEST_CASE("power of one group is that of the G*Power manual", "[outside]")
{
    // Source: G*Power 3.1 manual ch. 19: paired, d 0.421637 and 0.2828427, n 50: .832114 and .500352; ch. 20: n 1492, d
    // .1, alpha .01: .900169. Further digits by R 4.2.2.
    CHECK_THAT(powerOf(0.421637, 1 / std::sqrt(50.0), 49, 0.05), WithinAbs(0.832114, 1e-6));
    CHECK_THAT(powerOf(0.2828427, 1 / std::sqrt(50.0), 49, 0.05),
               WithinRel(0.500351592391, 1e-7)); // d carries 7 digits
    CHECK_THAT(powerOf(0.1, 1 / std::sqrt(1492.0), 1491, 0.01), WithinRel(0.900168734413, 1e-10));
}

TEST_CASE("numbers needed are those of the textbooks", "[outside]")
{
    // Source: Cohen (1988): d = .5, power .80: 64 a group. R's manual: d = 1, power .90: 22.02, so 23. Lakens (2013): d
    // = 1.13, power .95: 44 in all.
    CHECK(planned(0.5, 0.8).runs == 64);
    CHECK(planned(1, 0.9).runs == 23);
    CHECK(planned(1.13, 0.95).runs == 22);
}

TEST_CASE("blocks are compared as pairs", "[outside]")
{
    // Source: R 4.2.2 manual of t.test, sleep data paired: mean -1.58, 95 % interval -2.45988576328 to -0.700114236723,
    // 9 degrees of freedom. A pair is a block, its order turned in every second one.
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

TEST_CASE("the spread of a pilot is that of the published dyestuff batches", "[outside]")
{
    // Source: Davies & Goldsmith (1972), as the data set Dyestuff of R's lme4 (Bates et al. 2015, J. Stat. Softw.
    // 67:1), whose manual gives batch variance 1764 (SD 42.00) and residual variance 2451 (SD 49.51); data and values
    // written down from memory. Balanced, so that analysis of variance and restricted maximum likelihood agree.
    const std::vector<std::vector<double>> batches{{1545, 1440, 1440, 1520, 1580}, {1540, 1555, 1490, 1560, 1495},
                                                   {1595, 1550, 1605, 1510, 1560}, {1445, 1440, 1595, 1465, 1545},
                                                   {1595, 1630, 1515, 1635, 1625}, {1520, 1455, 1450, 1480, 1445}};
    std::vector<PilotRun> runs;
    for (const auto& batch : batches)
        runs.push_back({0, batch});
    const auto pilot = pilotSpread(runs);
    REQUIRE(pilot);
    CHECK_THAT(pilot->withinSdMs, WithinAbs(49.51, 0.005));
    CHECK_THAT(pilot->betweenSdMs.value(), WithinAbs(42.00, 0.005));
    CHECK(pilot->withinDof == 24);
    CHECK(pilot->betweenDof == 5);
}

TEST_CASE("the smallest difference found is R's", "[outside]")
{
    // Source: R 4.2.2, power.t.test(n = 20, sd = 1, power = .8)$delta = 0.909130127627 by its default, without the far
    // tail, which makes it greater by 1.2e-6 of itself. Two groups of 20 runs of one trial have the same uncertainty
    // and 38 degrees of freedom.
    CHECK_THAT(smallestFound({1, 0.05, 1, 0.8}, {1, 0, 0}, {20, 20, 1, 0}), WithinRel(0.909130127627, 2e-6));
}
