#include "core/stats/planning.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace stats;

TEST_CASE("least effort is what trying every number of trials finds", "[stats]")
{
    for (const double between : {0.3, 1.0, 3.0})
        for (const double runCost : {0.0, 10.0, 60.0}) {
            const Goal goal{2, 0.05, 3, 0.8};
            const Spread spread{5, between, 1};
            const auto best = leastEffort(goal, spread, runCost, 0.2);
            REQUIRE(best);
            CHECK(best->power >= 0.8);
            for (int trials = 2; trials < 40; ++trials) {
                const auto other = runsNeeded(goal, spread, trials, 0.2);
                REQUIRE(other);
                CHECK(timeOf(*best, 3, runCost) <= timeOf(*other, 3, runCost));
            }
        }
}

TEST_CASE("where a run costs nothing, trials are spread over runs; where it costs much, runs are long", "[stats]")
{
    const Goal goal{1, 0.05, 1, 0.8};
    const Spread spread{5, 1, 0};
    const auto cheap = leastEffort(goal, spread, 0), dear = leastEffort(goal, spread, 100);
    REQUIRE(cheap);
    REQUIRE(dear);
    CHECK(cheap->trialsPerRun < 4);
    // sqrt(cost of a run / cost of a trial) * s_w / s_b = sqrt(100) * 5 = 50 trials (Cochran 1977, sec. 10.6); the
    // optimum is flat.
    CHECK(dear->trialsPerRun >= 35);
    CHECK(dear->trialsPerRun <= 70);
}

TEST_CASE("shared uncertainty sets a bound that no number of runs passes", "[stats]")
{
    const Goal goal{2, 0.05, 1, 0.8};
    const double most = mostShared(goal);
    CHECK_THAT(most,
               WithinRel(2 / (1.959963985 + 0.841621234), 1e-3)); // both tails and the little scatter of two runs left
    CHECK(runsNeeded(goal, {3, 0, 1}, 10, 0.95 * most));
    CHECK_FALSE(runsNeeded(goal, {3, 0, 1}, 10, 1.02 * most));
    CHECK_FALSE(leastEffort(goal, {3, 0, 1}, 10, 1.02 * most));
}

TEST_CASE("what the plan's own runs find is the margin, or a little less", "[stats]")
{
    const Goal goal{2, 0.05, 2, 0.9};
    const Spread spread{4, 0.7, 2};
    const auto effort = runsNeeded(goal, spread, 8, 0.1);
    REQUIRE(effort);
    const double found = smallestFound(goal, spread, *effort, 0.1);
    CHECK(found <= 2);
    PlannedEffort fewer = *effort;
    --fewer.runs;
    CHECK(smallestFound(goal, spread, fewer, 0.1) > found);
}

TEST_CASE("another camera exchanges what counting frames adds", "[stats]")
{
    const Spread slow = modelledSpread(1000.0 / 60, 1000.0 / 240, 1, 0.5),
                 fast = modelledSpread(1000.0 / 60, 1, 1, 0.5);
    const Spread exchanged = withCamera(slow, 1000.0 / 240, 1);
    CHECK_THAT(exchanged.withinSdMs, WithinRel(fast.withinSdMs, 1e-12));
    CHECK(exchanged.captureIntervalMs == 1);
    CHECK(exchanged.betweenSdMs == 0.5);
    const Spread pilot =
        withCamera({0.1, 0.2, 0}, 4, 2); // less scatter than counting adds: nothing but counting is left
    CHECK_THAT(pilot.withinSdMs, WithinRel(2 / std::sqrt(6.0), 1e-12));
    CHECK_THAT(pilot.betweenSdMs, WithinRel(2 / std::sqrt(12.0), 1e-12));
}

TEST_CASE("a pilot of uneven runs finds the spreads it was made with", "[stats]")
{
    std::mt19937_64 random(11);
    std::normal_distribution<double> shift(0, 2), scatter(0, 3);
    std::vector<PilotRun> runs;
    for (int configuration = 0; configuration < 40; ++configuration)
        for (int run = 0; run < 5; ++run) {
            PilotRun& made = runs.emplace_back(PilotRun{configuration, {}});
            const double mean = 50 + configuration + shift(random);
            for (int trial = 0; trial < 3 + 2 * run; ++trial)
                made.delaysMs.push_back(mean + scatter(random));
        }
    const auto pilot = pilotSpread(runs);
    REQUIRE(pilot);
    CHECK(pilot->betweenDof == 160);
    CHECK_THAT(pilot->withinSdMs, WithinAbs(3, 0.25));         // 4 SE: 3 / sqrt(2 * 1200) = 0.06
    CHECK_THAT(pilot->betweenSdMs.value(), WithinAbs(2, 0.6)); // 4 SE of about 0.15
    CHECK_FALSE(pilotSpread({}));
    const std::vector<PilotRun> single{{0, {1.0}}, {0, {2.0}}};
    CHECK_FALSE(pilotSpread(single));
    const std::vector<PilotRun> oneEach{{0, {1.0, 2.0}}, {1, {5.0, 7.0}}};
    REQUIRE(pilotSpread(oneEach));
    CHECK_FALSE(pilotSpread(oneEach)->betweenSdMs);
}
