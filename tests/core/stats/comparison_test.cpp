#include "core/stats/comparison.h"
#include "core/stats/distributions.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace stats;

namespace {

constexpr double sumTolerance = 1e-12;

/// `n` trials with this mean and SD (odd n: half at each side, one in the middle), all of run 1 and capture `capture`.
std::vector<Observation> side(int n, double mean, double sd, int capture, int source = 0)
{
    std::vector<Observation> trials;
    for (int i = 0; i < n; ++i) {
        const double delay = i == 0 ? mean : i % 2 ? mean + sd : mean - sd;
        Observation o{delay, 0, 0, capture, 1, false, {}};
        if (source)
            o.errors.push_back({source, delay});
        trials.push_back(o);
    }
    return trials;
}

ComparisonPlan planned(std::optional<double> margin, int comparisons = 1)
{
    return {0.05, comparisons, margin, std::nullopt};
}

} // namespace

TEST_CASE("a clock that both sides share moves their difference by the difference only", "[stats]")
{
    const std::vector<ErrorSource> sources{{1, "nominal rate", 0.02, endlessDof, LineKind::Clock}};
    const Comparison c = compare(side(21, 90, 1, 1, 1), side(21, 80, 1, 2, 1), sources, planned({}));
    REQUIRE(c.interval);
    CHECK_THAT(*c.differenceMs, WithinAbs(10, sumTolerance));
    CHECK_THAT(c.lines.back().uMs, WithinAbs(0.02 * 10, sumTolerance));
    CHECK_THAT(c.interval->uMs, WithinAbs(std::sqrt(1.0 / 21 + 1.0 / 21 + 0.04), sumTolerance));
    CHECK(c.verdict == Verdict::Longer);
}

TEST_CASE("clocks of their own don't cancel", "[stats]")
{
    const std::vector<ErrorSource> sources{{1, "rate A", 0.02, endlessDof, LineKind::Clock},
                                           {2, "rate B", 0.03, 6, LineKind::Clock}};
    const Comparison c = compare(side(21, 90, 1, 1, 1), side(21, 80, 1, 2, 2), sources, planned({}));
    const double variance = 2.0 / 21 + 1.8 * 1.8 + 2.4 * 2.4;
    CHECK_THAT(c.interval->uMs, WithinRel(std::sqrt(variance), 1e-12));
    CHECK_THAT(c.interval->dof,
               WithinRel(variance * variance / (2 * std::pow(1.0 / 21, 2) / 20 + std::pow(2.4, 4) / 6), 1e-12));
}

TEST_CASE("phase of both sides counts", "[stats]")
{
    std::vector<Observation> here = side(11, 50, 4, 1), there = side(11, 50, 4, 2);
    for (Observation& o : here)
        o.pressIntervalMs = o.responseIntervalMs = 3;
    for (Observation& o : there)
        o.pressIntervalMs = o.responseIntervalMs = 6;
    const Comparison c = compare(here, there, {}, planned({}));
    CHECK_THAT(c.interval->uMs, WithinRel(std::sqrt(16.0 / 11 * 2 + 9.0 / 12 + 36.0 / 12), 1e-12));
}

TEST_CASE("phase of unevenly filled captures weighs in a difference as in the means", "[stats]")
{
    std::vector<Observation> here = side(10, 50, 4, 1), there = side(10, 50, 4, 3);
    for (Observation& o : here)
        o.pressIntervalMs = o.responseIntervalMs = 6;
    for (int i = 0; i < 3; ++i)
        here[static_cast<std::size_t>(i)].captureKey = 2;
    const Comparison c = compare(here, there, {}, planned({}));
    CHECK_THAT(c.lines[2].uMs, WithinRel(std::sqrt(36.0 / 12 * (0.49 + 0.09)), 1e-12));
    CHECK(c.lines[2].kind == LineKind::Phase);
}

TEST_CASE("the verdict is read off the interval that is drawn", "[stats]")
{
    // u = sqrt(2/21) = 0.3086, dof 40, t(0.975) = 2.0211, half-width 0.6237; t(0.95) = 1.6839, 0.5197.
    const auto [difference, margin, expected] = GENERATE(table<double, std::optional<double>, Verdict>({
        {0.63, std::nullopt, Verdict::Longer},
        {0.62, std::nullopt, Verdict::NotResolved},
        {-0.63, std::nullopt, Verdict::Shorter},
        {0.63, 1.0, Verdict::Longer}, // reaches up to 1.25
        {0.63, 1.3, Verdict::LongerWithinMargin},
        {-0.63, 1.3, Verdict::ShorterWithinMargin},
        {0.2, 0.75, Verdict::SameWithinMargin}, // 0.2 + 0.5197 < 0.75 < 0.2 + 0.6237
        {-0.2, 0.75, Verdict::SameWithinMargin},
        {0.2, 0.71, Verdict::NotResolved},
        {0, std::nullopt, Verdict::NotResolved}, // never "same" without a margin
    }));
    const Comparison c = compare(side(21, 80 + difference, 1, 1), side(21, 80, 1, 2), {}, planned(margin));
    CHECK(c.verdict == expected);
    CHECK_THAT(c.interval->halfWidthMs, WithinAbs(0.6237, 1e-4));
    CHECK_THAT(c.equivalence->halfWidthMs, WithinAbs(0.5197, 1e-4));
    CHECK(c.interval->uMs == c.equivalence->uMs);
    CHECK(c.interval->dof == c.equivalence->dof);
}

TEST_CASE("several comparisons share the risk", "[stats]")
{
    const auto here = side(21, 81, 1, 1), there = side(21, 80, 1, 2);
    const Comparison one = compare(here, there, {}, planned({}, 1));
    const Comparison five = compare(here, there, {}, planned({}, 5));
    CHECK_THAT(five.interval->level, WithinAbs(0.99, 1e-15));
    CHECK_THAT(five.equivalence->level, WithinAbs(0.98, 1e-15));
    CHECK(five.interval->halfWidthMs > one.interval->halfWidthMs);
    CHECK(five.interval->factor == coverageFactor(five.interval->level, five.interval->dof));
}

TEST_CASE("fewer than five trials give the difference and no verdict", "[stats]")
{
    const Comparison c = compare(side(21, 90, 1, 1),
                                 std::vector<Observation>(4, Observation{80, 1, 1, 2, 1, false, {}}), {}, planned(1.0));
    CHECK(c.verdict == Verdict::TooFewTrials);
    REQUIRE(c.differenceMs);
    CHECK_THAT(*c.differenceMs, WithinAbs(10, sumTolerance));
    CHECK_FALSE(c.interval);
    CHECK_FALSE(c.effort);

    CHECK(compare(side(21, 90, 1, 1), {}, {}, planned({})).verdict == Verdict::NoBaseline);
    const Comparison empty = compare({}, side(21, 90, 1, 1), {}, planned({}));
    CHECK(empty.verdict == Verdict::TooFewTrials);
    CHECK_FALSE(empty.differenceMs);
}

TEST_CASE("before the planned number of trials a comparison is interim", "[stats]")
{
    ComparisonPlan plan = planned({});
    CHECK_FALSE(compare(side(21, 90, 1, 1), side(21, 80, 1, 2), {}, plan).interim);
    plan.plannedTrials = 21;
    CHECK_FALSE(compare(side(21, 90, 1, 1), side(21, 80, 1, 2), {}, plan).interim);
    CHECK(compare(side(21, 90, 1, 1), side(19, 80, 1, 2), {}, plan).interim);
    CHECK(compare(side(3, 90, 1, 1), side(21, 80, 1, 2), {}, plan).interim);
    CHECK(compare(side(3, 90, 1, 1), {}, {}, plan).interim);
}

TEST_CASE("run means that scatter widen the difference as they widen the mean", "[stats]")
{
    const auto runs = [](double start, double step, int firstKey) {
        std::vector<Observation> trials;
        for (int run = 0; run < 5; ++run)
            for (const double off : {-1.0, 0.0, 1.0})
                trials.push_back({start + step * run + off, 0, 0, firstKey + run, firstKey + run, false, {}});
        return trials;
    };
    const auto here = runs(80, 5, 1);   // run means 80 85 90 95 100: SD^2 = 62.5
    const auto there = runs(80, 4, 11); // 80 84 88 92 96: SD^2 = 40
    const Comparison c = compare(here, there, {}, planned({}));
    CHECK(c.basis == Basis::Runs);
    CHECK(c.baselineBasis == Basis::Runs);
    CHECK_THAT(*c.differenceMs, WithinAbs(2, sumTolerance));
    CHECK_THAT(c.interval->uMs, WithinRel(std::sqrt(62.5 / 5 + 40.0 / 5), 1e-12));
    CHECK_THAT(c.interval->dof, WithinRel(20.5 * 20.5 / (12.5 * 12.5 / 4 + 8.0 * 8 / 4), 1e-12)); // Welch, of run means

    const auto single = side(15, 80, 1, 30);
    const Comparison mixed = compare(here, single, {}, planned({}));
    CHECK(mixed.basis == Basis::Runs);
    CHECK(mixed.baselineBasis == Basis::Trials);
    CHECK_THAT(mixed.interval->uMs, WithinRel(std::sqrt(62.5 / 5 + 1.0 / 15), 1e-12));
}

TEST_CASE("the smallest resolvable difference is the stated formula", "[stats]")
{
    const Comparison c = compare(side(21, 80, 1, 1), side(21, 80, 1, 2), {}, planned({}));
    CHECK_THAT(*c.smallestResolvableMs,
               WithinRel((tQuantile(0.975, 40) + tQuantile(0.8, 40)) * std::sqrt(2.0 / 21), 1e-12));
}

TEST_CASE("effort for the margin agrees with the usual rules of thumb", "[stats]")
{
    // Trials a side: 15.7 s^2/margin^2 to resolve it, 17.1 s^2/margin^2 to show sameness (normal quantiles).
    // t quantiles ask for up to 2 more, so a band of 2.
    const double s = GENERATE(5.6, 2.2);
    const double margin = GENERATE(5.0, 2.0, 1.0);
    const Comparison c = compare(side(41, 80, s, 1), side(41, 80, s, 2), {}, planned(margin));
    REQUIRE(c.effort);
    REQUIRE(c.effort->toResolve);
    REQUIRE(c.effort->toShowSame);
    const double resolve = std::max(15.7 * s * s / margin / margin, 5.0);
    const double same = std::max(17.1 * s * s / margin / margin, 5.0);
    CHECK_THAT(static_cast<double>(c.effort->toResolve->trials), WithinAbs(resolve + 1, 2));
    CHECK_THAT(static_cast<double>(c.effort->toShowSame->trials), WithinAbs(same + 1, 2));
    CHECK(c.effort->toResolve->runs == 4);
    CHECK_FALSE(c.effort->clockLimits);
}

TEST_CASE("effort doesn't depend on the difference that was observed", "[stats]")
{
    const Comparison near = compare(side(21, 80, 3, 1), side(21, 80, 3, 2), {}, planned(2.0));
    const Comparison far = compare(side(21, 99, 3, 1), side(21, 80, 3, 2), {}, planned(2.0));
    CHECK(near.effort->toResolve->trials == far.effort->toResolve->trials);
    CHECK(near.smallestResolvableMs == far.smallestResolvableMs);
}

TEST_CASE("no number of trials outweighs a clock that is too poor", "[stats]")
{
    const std::vector<ErrorSource> sources{{1, "rate A", 0.02, endlessDof, LineKind::Clock},
                                           {2, "rate B", 0.02, endlessDof, LineKind::Clock}};
    const Comparison c = compare(side(21, 90, 1, 1, 1), side(21, 90, 1, 2, 2), sources, planned(5.0));
    // u = 0.02 * 90 * sqrt(2) = 2.55 ms from the clocks alone; (1.96 + 0.84) u is above 5 ms.
    REQUIRE(c.effort);
    CHECK(c.effort->clockLimits);
    CHECK_FALSE(c.effort->toResolve);
    CHECK_FALSE(c.effort->toShowSame);
}

TEST_CASE("run-to-run scatter asks for runs", "[stats]")
{
    std::vector<Observation> here;
    for (int run = 1; run <= 5; ++run)
        for (const double off : {-0.1, 0.0, 0.1})
            here.push_back({80.0 + run + off, 0, 0, run, run, false, {}}); // run means SD^2 = 2.5
    const auto there = side(15, 83, 0.1, 30);                              // one run: takes the other side's scatter
    const Comparison c = compare(here, there, {}, planned(1.0));
    REQUIRE(c.effort);
    REQUIRE(c.effort->toResolve);
    // 15.7 * 2.5 = 39.25 runs by normal quantiles, a little more by t; 3 trials each as now.
    CHECK_THAT(static_cast<double>(c.effort->toResolve->runs), WithinAbs(40.5, 1.5));
    CHECK(c.effort->toResolve->trials == 3 * c.effort->toResolve->runs);
}
