#include "core/stats/budget.h"
#include "core/stats/summary.h"
#include "core/timing/delay.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using Catch::WithinAbs;
using Catch::WithinRel;

namespace {

/// First frame at or after an instant, T = 1 ms.
timing::FrameNumber recorded(double instantMs) { return {static_cast<std::int64_t>(std::ceil(instantMs))}; }

double measured(const timing::CaptureTime& time, double pressMs, double responseMs)
{
    return std::get<timing::TrialDelay>(timing::trialDelay(time, recorded(pressMs), recorded(responseMs)))
        .delay.count();
}

} // namespace

TEST_CASE("counting frames scatters as the theory of rounding on a grid says", "[outside]")
{
    // Source: variance of the sum of two independent rectangular errors, 2 T^2/12; for a fixed delay on one grid the
    // error takes two values, SD T sqrt(x (1 - x)), x the fraction of delay/T. Both follow from the rectangular
    // distribution (JCGM 101:2008, 6.4.2; clause from memory). Tolerance: 5 standard errors of an SD from 1e5 trials,
    // as found with 1e7 in R: 0.00382 T.
    std::mt19937 random(20250101);
    std::uniform_real_distribution<double> unit(0, 1);
    const auto time = timing::CaptureTime::even(1000, {200});
    constexpr int trials = 100000;
    const auto errors = [&](auto delay) {
        std::vector<double> list;
        for (int i = 0; i < trials; ++i) {
            const double press = 10 + unit(random);
            const double truth = delay();
            list.push_back(measured(time, press, press + truth) - truth);
        }
        return list;
    };
    for (const double fraction : {0.25, 0.37, 0.5}) {
        const auto fixed = errors([&] { return 50 + fraction; });
        CHECK_THAT(stats::mean(fixed), WithinAbs(0, 5 * 0.5 / std::sqrt(trials)));
        CHECK_THAT(stats::standardDeviation(fixed), WithinAbs(std::sqrt(fraction * (1 - fraction)), 0.00382));
    }
    auto spread = errors([&] { return 50 + unit(random); });
    CHECK_THAT(stats::standardDeviation(spread), WithinAbs(0.408248290464, 0.00382));
    std::sort(spread.begin(), spread.end());
    CHECK_THAT(stats::quantile(spread, 0.975), WithinAbs(0.776393202250, 0.01)); // 5 s.e.: density 0.2236 there
    CHECK_THAT(stats::quantile(spread, 0.025), WithinAbs(-0.776393202250, 0.01));
}

TEST_CASE("the floor of the scatter is T over root 6 a trial", "[outside]")
{
    // Own division, T/sqrt(6) in ms at 240, 480, 960 and 1000 frames a second.
    const auto [rate, floor] = GENERATE(table<double, double>({
        {240, 1.701034544},
        {480, 0.8505172718},
        {960, 0.4252586359},
        {1000, 0.4082482905},
    }));
    const double interval = 1000 / rate;
    const std::vector<stats::Observation> equal(20, stats::Observation{50, interval, interval, 1, 1, false, {}});
    const stats::MeanBudget budget = stats::meanBudget(equal, {}, 0.95);
    CHECK(budget.floorUsed);
    CHECK_THAT(budget.overTrials->lines.front().uMs * std::sqrt(20.0), WithinRel(floor, 1e-9)); // 10 digits given
    if (rate == 960)
        CHECK_THAT(budget.overTrials->lines.front().uMs, WithinRel(0.09509072179, 1e-9));
}

TEST_CASE("a wait for the refresh is rectangular", "[outside]")
{
    // Own division, 1000/(f sqrt(12)) in ms.
    const auto [hertz, sd] = GENERATE(table<double, double>({
        {60, 4.811252243},
        {60000.0 / 1001, 4.816063495},
        {120, 2.405626122},
        {144, 2.004688435},
        {165, 1.749546270},
        {240, 1.202813061},
        {360, 0.8018753739},
    }));
    CHECK_THAT(stats::rectangularSource(1, "wait", 1000 / hertz, stats::LineKind::ScanOut).u, WithinRel(sd, 1e-9));
}
