#include "core/stats/blocks.h"
#include "core/stats/comparison.h"
#include "core/stats/distributions.h"
#include "core/stats/dunnett.h"
#include "core/stats/planning.h"
#include "core/stats/summary.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

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
    // Dunnett's point of five at 40 degrees of freedom (dunnett_test.cpp); one by itself covers more than 95 %, less
    // than the 99 % of Bonferroni.
    CHECK_THAT(five.interval->factor, WithinAbs(2.6192, 1e-4));
    CHECK_THAT(five.rho, WithinAbs(0.5, 1e-12));
    CHECK(five.comparisons == 5);
    CHECK(five.interval->level > 0.98);
    CHECK(five.interval->level < 0.99);
    CHECK_THAT(five.interval->factor, WithinRel(coverageFactor(five.interval->level, five.interval->dof), 1e-9));
    CHECK_THAT(five.equivalence->level, WithinAbs(0.98, 1e-15));
    CHECK(five.equivalence->halfWidthMs < five.interval->halfWidthMs);
    CHECK(five.interval->halfWidthMs > one.interval->halfWidthMs);
    CHECK_THAT(one.interval->level, WithinAbs(0.95, 1e-15));
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

TEST_CASE("the smallest resolvable difference would show 4 times out of 5", "[stats]")
{
    const Comparison c = compare(side(21, 80, 1, 1), side(21, 80, 1, 2), {}, planned({}));
    const double u = std::sqrt(2.0 / 21), bound = coverageFactor(0.95, 40), shift = *c.smallestResolvableMs / u;
    CHECK_THAT(noncentralTUpper(bound, 40, shift) + noncentralTCdf(-bound, 40, shift), WithinAbs(0.8, 1e-9));
    // At few degrees of freedom t(0.975) + t(0.8) fell short of that: 4 runs a side give 6 of them.
    std::vector<Observation> here, there;
    for (int run = 1; run <= 4; ++run)
        for (const double off : {-0.1, 0.0, 0.1}) {
            here.push_back({80.0 + 2 * run + off, 0, 0, run, run, false, {}});
            there.push_back({80.0 + 2 * run + off, 0, 0, run + 10, run + 10, false, {}});
        }
    const Comparison few = compare(here, there, {}, planned({}, 4));
    const stats::Expanded& interval = *few.interval;
    CHECK_THAT(interval.dof, WithinAbs(6, 1e-9));
    const double found = *few.smallestResolvableMs / interval.uMs;
    const double power =
        noncentralTUpper(interval.factor, interval.dof, found) + noncentralTCdf(-interval.factor, interval.dof, found);
    CHECK_THAT(power, WithinAbs(0.8, 1e-6));
    const double before = interval.factor + tQuantile(0.8, interval.dof);
    CHECK(noncentralTUpper(interval.factor, interval.dof, before) < 0.79);
}

TEST_CASE("the difference is that of the means shown, whatever each stands on", "[stats]")
{
    // Runs of very unequal size; one side's runs shift, the other's don't, so that they go by runs and by trials.
    std::vector<Observation> here, there;
    for (int run = 1; run <= 5; ++run)
        for (int i = 0; i < (run == 1 ? 9 : 2); ++i) {
            here.push_back({80.0 + 4 * run + i % 2, 0, 0, run, run, false, {}});
            there.push_back({70.0 + 6 * (i % 2) + (run == 1 ? 1 : 0), 0, 0, run + 10, run + 10, false, {}});
        }
    const Comparison c = compare(here, there, {}, planned({}));
    const MeanBudget mine = meanBudget(here, {}, 0.95), base = meanBudget(there, {}, 0.95);
    CHECK(mine.shown()->basis == Basis::Runs);
    CHECK(base.shown()->basis == Basis::Trials);
    CHECK_THAT(*c.differenceMs, WithinAbs(mine.shown()->estimateMs - base.shown()->estimateMs, sumTolerance));
}

namespace {

/// Configurations that moved together by block, `apart` ms from each other, with what is left to each run.
std::vector<std::vector<Observation>> inBlocks(const std::vector<double>& drift,
                                               const std::vector<std::vector<double>>& left)
{
    std::vector<std::vector<Observation>> all;
    int run = 0;
    for (const std::vector<double>& own : left) {
        std::vector<Observation>& trials = all.emplace_back();
        for (std::size_t j = 0; j < drift.size(); ++j) {
            ++run;
            for (const double off : {-0.1, 0.1}) {
                trials.push_back({80 + drift[j] + own[j] + off, 0, 0, run, run, false, {}});
                trials.back().blockKey = static_cast<int>(j) + 1;
            }
        }
    }
    return all;
}

std::vector<Comparison> comparedInBlocks(const std::vector<std::vector<Observation>>& all, const ComparisonPlan& plan)
{
    const std::vector<std::span<const Observation>> spans(all.begin(), all.end());
    const auto variances = variancesWithoutBlocks(spans);
    std::vector<Side> sides;
    for (std::size_t c = 0; c < spans.size(); ++c)
        sides.push_back({spans[c], variances[c]});
    return compare(std::span(sides).subspan(1), sides.front(), {}, plan);
}

} // namespace

TEST_CASE("what moves whole blocks is taken out of differences, not out of means", "[stats]")
{
    const auto all =
        inBlocks({0, 8, -6, 3, 5}, {{0.3, -0.2, 0.1, -0.3, 0.1}, {2, 2.2, 1.8, 2.2, 1.8}, {-0.3, 0, 0.5, -0.3, 0.1}});
    const auto out = comparedInBlocks(all, planned(2.0, 2));
    const auto in = compare(all[1], all[0], {}, planned(2.0, 2));
    CHECK(out[0].blocksOut);
    CHECK_FALSE(in.blocksOut);
    CHECK(*out[0].differenceMs == *in.differenceMs);
    CHECK(out[0].interval->halfWidthMs < 0.15 * in.interval->halfWidthMs);
    CHECK(out[0].lines.front().label
          == "configuration: scatter of 5 run means, blocks taken out, all configurations together");
    CHECK(meanBudget(all[1], {}, 0.95).shown()->interval->halfWidthMs > 5);
    // By hand: squares of what configuration and block leave, on 4 * 2 degrees of freedom.
    const std::vector<std::vector<double>> left{
        {0.3, -0.2, 0.1, -0.3, 0.1}, {2, 2.2, 1.8, 2.2, 1.8}, {-0.3, 0, 0.5, -0.3, 0.1}};
    double squares = 0;
    for (const std::vector<double>& own : left)
        for (std::size_t j = 0; j < own.size(); ++j) {
            const double block = (left[0][j] + left[1][j] + left[2][j]) / 3;
            squares += std::pow(own[j] - mean(own) - block + 2.0 / 3, 2);
        }
    CHECK_FALSE(out[0].ownScatter);
    CHECK_THAT(out[0].interval->uMs, WithinRel(std::sqrt(2 * squares / 8 / 5), 1e-9));
    CHECK_THAT(out[0].interval->dof, WithinRel(8.0, 1e-9));
    CHECK_THAT(out[0].rho, WithinRel(0.5, 1e-9));
    CHECK_THAT(out[0].interval->factor, WithinRel(dunnettFactor(0.95, 8, 2, 0.5), 1e-9));
    // Trials needed go by runs: as many a run as there are.
    REQUIRE(out[0].effort);
    REQUIRE(out[0].effort->toResolve);
    CHECK(out[0].effort->toResolve->trials == 2 * out[0].effort->toResolve->runs);
    CHECK(out[0].effort->toResolve->runs < in.effort->toResolve->runs);
}

TEST_CASE("a set-up that varies more is judged by its own scatter, which the others together would hide", "[stats]")
{
    const auto all = inBlocks({0, 8, -6, 3, 5, -2}, {{0.3, -0.2, 0.1, -0.3, 0.1, 0},
                                                     {0.2, 0.1, -0.3, 0.3, -0.2, -0.1},
                                                     {3, -4, 2, 4, -3, -2},
                                                     {0.1, 0.2, 0.1, -0.3, 0.2, -0.3}});
    const auto out = comparedInBlocks(all, planned({}, 3));
    CHECK_FALSE(out[0].ownScatter);
    CHECK_FALSE(out[2].ownScatter);
    REQUIRE(out[1].ownScatter);
    CHECK(out[1].interval->halfWidthMs > 1.2 * out[0].interval->halfWidthMs);
    CHECK(out[1].lines.front().label == "configuration: scatter of 6 run means, blocks taken out");
    std::vector<double> own;
    for (const auto& one : variancesWithoutBlocks(std::vector<std::span<const Observation>>(all.begin(), all.end())))
        own.push_back(one->own);
    CHECK_THAT(out[1].interval->uMs, WithinRel(std::sqrt(own[0] / 6 + own[2] / 6), 1e-9));
    CHECK_THAT(out[1].interval->factor,
               WithinRel(coverageFactor(1 - 0.05 * (1.75 / 4 + 1.2 / 6), out[1].interval->dof), 1e-9));
    CHECK(out[1].equivalence->halfWidthMs <= out[1].interval->halfWidthMs);
}

namespace {

/// What runs leave to `count` configurations: the second varies most, then the first, the others hardly.
std::vector<std::vector<double>> oneThatVaries(std::size_t count, std::size_t runs)
{
    std::vector<std::vector<double>> left(count, std::vector<double>(runs));
    for (std::size_t c = 0; c < count; ++c)
        for (std::size_t j = 0; j < runs; ++j) {
            const auto n = static_cast<double>(j * count + c); // sin(2.3 n^2) is as good as chance
            left[c][j] = (c == 1 ? 3 : c == 0 ? 1 : 0.1) * std::sin(2.3 * n * n + 1);
        }
    return left;
}

struct OwnSides {
    double uMs = 0, dof = 0;
};

/// Of the first two, from text: q_c = sum_j e_cj^2/(r - 1), each K/(K - 2) (q_c - sum q/(K (K - 1))); Welch's degrees.
OwnSides firstTwoByHand(const std::vector<std::vector<double>>& left)
{
    const auto k = static_cast<double>(left.size()), r = static_cast<double>(left.front().size());
    std::vector<double> blocks(left.front().size()), q;
    for (std::size_t j = 0; j < blocks.size(); ++j)
        for (const auto& own : left)
            blocks[j] += own[j] / k;
    double sum = 0;
    for (const auto& own : left) {
        double squares = 0;
        for (std::size_t j = 0; j < blocks.size(); ++j)
            squares += std::pow(own[j] - mean(own) - blocks[j] + mean(blocks), 2);
        q.push_back(squares / (r - 1));
        sum += q.back();
    }
    const double first = k / (k - 2) * (q[0] - sum / (k * (k - 1))) / r;
    const double second = k / (k - 2) * (q[1] - sum / (k * (k - 1))) / r;
    return {std::sqrt(first + second), std::pow(first + second, 2) / (first * first + second * second) * (r - 1)};
}

std::vector<double> noDrift(std::size_t runs) { return std::vector<double>(runs, 0.0); }

} // namespace

TEST_CASE("own scatter is held to a level by the number of comparisons and of runs", "[stats]")
{
    // 1.75/(k + 1) + 1.2/r of 5 %: 0.21875 + 0.3, and 0.58333 + 0.1.
    const auto [configurations, runs, mayMiss] =
        GENERATE(table<std::size_t, std::size_t, double>({{8, 4, 0.0259375}, {3, 12, 0.0341666666666667}}));
    CAPTURE(configurations, runs);
    const auto left = oneThatVaries(configurations, runs);
    const int comparisons = static_cast<int>(configurations) - 1;
    const Comparison out = comparedInBlocks(inBlocks(noDrift(runs), left), planned({}, comparisons)).front();
    const OwnSides own = firstTwoByHand(left);
    REQUIRE(out.ownScatter);
    CHECK_THAT(out.ownLevel, WithinAbs(1 - mayMiss, 1e-12));
    CHECK_THAT(out.interval->level, WithinAbs(1 - mayMiss, 1e-12));
    CHECK_THAT(out.interval->halfWidthMs, WithinRel(coverageFactor(1 - mayMiss, own.dof) * own.uMs, 1e-9));
    CHECK_THAT(out.equivalence->halfWidthMs,
               WithinRel(coverageFactor(1 - std::max(0.1 / comparisons, mayMiss), own.dof) * own.uMs, 1e-9));
}

TEST_CASE("the risk of own scatter is all there is for one, and less the more comparisons and runs", "[stats]")
{
    CHECK(ownRisk(0.05, 1, 4) == 0.05);
    CHECK(ownRisk(0.05, 1, 100) == 0.05);
    CHECK_THAT(ownRisk(0.1, 2, 4), WithinRel(0.1 * (1.75 / 3 + 0.3), 1e-12));
    for (int comparisons = 2; comparisons < 100; ++comparisons)
        for (int runs = 4; runs < 200; ++runs) {
            CHECK(ownRisk(0.05, comparisons, runs) <= 0.05);
            CHECK(ownRisk(0.05, comparisons, runs) >= 0.05 / comparisons);
            CHECK(ownRisk(0.05, comparisons, runs + 1) < ownRisk(0.05, comparisons, runs));
            CHECK(ownRisk(0.05, comparisons + 1, runs) < ownRisk(0.05, comparisons, runs));
        }
}

TEST_CASE("runs needed go by the level that own scatter has with that many", "[stats]")
{
    const auto left = oneThatVaries(8, 4);
    const OwnSides own = firstTwoByHand(left);
    const auto needed = [&](double margin, const auto& mayMiss) {
        int runs = 4;
        while (powerOf(margin, own.uMs * std::sqrt(4.0 / runs), own.dof / 3 * (runs - 1), mayMiss(runs)) < 0.8)
            ++runs;
        return runs;
    };
    const auto byRuns = [](int runs) { return 0.05 * (1.75 / 8 + 1.2 / runs); };
    const double margin = 0.5;
    const int runs = needed(margin, byRuns);
    REQUIRE(runs > needed(margin, [&](int) { return byRuns(4); }));
    const Comparison out = comparedInBlocks(inBlocks(noDrift(4), left), planned(margin, 7)).front();
    REQUIRE(out.effort);
    REQUIRE(out.effort->toResolve);
    CHECK(out.effort->toResolve->runs == runs);
}

TEST_CASE("scatter without blocks never falls below what counting camera frames gives", "[stats]")
{
    // Run means that move exactly together leave nothing; what remains is (3^2 + 3^2)/12 of a trial, two a run.
    auto all = inBlocks({0, 8, -6, 3}, {{0, 0, 0, 0}, {1, 1, 1, 1}, {2, 2, 2, 2}});
    for (std::vector<Observation>& trials : all)
        for (Observation& trial : trials)
            trial.pressIntervalMs = trial.responseIntervalMs = 3;
    for (const auto& variance :
         variancesWithoutBlocks(std::vector<std::span<const Observation>>(all.begin(), all.end()))) {
        CHECK_THAT(variance->together, WithinAbs(1.5 / 2, 1e-9));
        CHECK(variance->togetherDof == 6);
    }
}

TEST_CASE("two runs of the baseline in some blocks count as one of the block", "[stats]")
{
    auto all = inBlocks({0, 8, -6, 3}, {{0.1, -0.1, 0.2, 0}, {1, 1.2, 0.9, 1}, {2, 2.5, 2, 1.3}});
    for (const double delay : {87.0, 89.0}) { // a second run in block 2, where the first has 87.9
        all[0].push_back({delay, 0, 0, 99, 99, false, {}});
        all[0].back().blockKey = 2;
    }
    const auto out = comparedInBlocks(all, planned({}, 2));
    CHECK(out[0].blocksOut);
    const double base = (80.1 + (87.9 + 88) / 2 + 74.2 + 83) / 4;
    CHECK_THAT(meanBudget(all[0], {}, 0.95).shown()->estimateMs, WithinAbs(base, 1e-9));
    CHECK_THAT(*out[0].differenceMs, WithinAbs((81 + 89.2 + 74.9 + 84) / 4 - base, 1e-9));
    CHECK_THAT(out[0].lines[1].label, Catch::StartsWith("baseline: scatter of 4 block means, blocks taken out"));
    // A block of two runs scatters by half as much as one of one: the baseline's weighs (3 + 1/2)/4.
    CHECK_THAT(out[0].lines[1].uMs / out[0].lines[0].uMs, WithinRel(std::sqrt(3.5 / 4), 1e-9));
}

TEST_CASE("two configurations show no block apart from their scatter", "[stats]")
{
    const auto all = inBlocks({0, 8, -6, 3}, {{0.1, -0.1, 0.2, 0}, {1, 1.2, 0.9, 1}});
    CHECK_FALSE(comparedInBlocks(all, planned({}))[0].blocksOut);
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

namespace {

/// Delays of one configuration, each in a capture of its own, read with a clock of this relative error.
std::vector<Observation> ofSession(std::initializer_list<double> delays, int source)
{
    std::vector<Observation> trials;
    for (const double delay : delays)
        trials.push_back({delay, 0, 0, static_cast<int>(trials.size()) + 1, 1, true, {{source, delay}}});
    return trials;
}

SessionMean meanOf(const MeanBudget& budget)
{
    return {budget.shown()->estimateMs, budget.shown()->lines, static_cast<std::size_t>(budget.n)};
}

} // namespace

TEST_CASE("a difference across sessions goes by way of the set-up measured in both", "[stats][across]")
{
    const std::vector<ErrorSource> thatClock{{1, "that clock", 0.004, endlessDof, LineKind::Clock}};
    const std::vector<ErrorSource> thisClock{{1, "this clock", 0.003, endlessDof, LineKind::Clock}};
    const std::vector<double> delays[] = {
        {50, 52, 54, 51, 53, 55}, {40, 42, 41, 43, 44}, {33, 31, 32, 35, 34, 30, 36}, {37, 36, 38, 39, 35}};
    std::vector<MeanBudget> means;
    for (std::size_t i = 0; i < 4; ++i) {
        std::vector<Observation> trials;
        for (const double delay : delays[i])
            trials.push_back({delay, 0, 0, static_cast<int>(trials.size()) + 1, 1, true, {{1, delay}}});
        means.push_back(meanBudget(trials, i < 2 ? thatClock : thisClock, 0.95));
    }
    const Comparison across =
        acrossSessions({"earlier", meanOf(means[0]), meanOf(means[1])},
                       SessionPair{"this session", meanOf(means[2]), meanOf(means[3])}, planned(2.0));

    // The same by propagating the covariances of single delays, worked out from them alone.
    double mean[4], variance = 0, squares = 0;
    for (std::size_t i = 0; i < 4; ++i) {
        const auto n = static_cast<double>(delays[i].size());
        double sum = 0, deviations = 0;
        for (const double delay : delays[i])
            sum += delay;
        mean[i] = sum / n;
        for (const double delay : delays[i])
            deviations += (delay - mean[i]) * (delay - mean[i]);
        const double ofMean = deviations / (n - 1) / n;
        variance += ofMean;
        squares += ofMean * ofMean / (n - 1);
    }
    const double clocks = std::pow(0.004 * (mean[0] - mean[1]), 2) + std::pow(0.003 * (mean[2] - mean[3]), 2);
    const double u = std::sqrt(variance + clocks), dof = std::pow(u, 4) / squares;
    REQUIRE(across.interval);
    CHECK_THAT(*across.differenceMs, WithinAbs((52.5 - 42) - (33 - 37), sumTolerance));
    CHECK_THAT(across.interval->uMs, WithinRel(u, 1e-12));
    CHECK_THAT(across.interval->dof, WithinRel(dof, 1e-12));
    CHECK_THAT(across.interval->halfWidthMs, WithinRel(coverageFactor(0.95, dof) * u, 1e-12));
    CHECK(across.verdict == Verdict::Longer);
    CHECK(across.lines.size() == 6);
    CHECK(across.comparisons == 1);

    const Comparison direct = acrossSessions({"earlier", meanOf(means[0]), meanOf(means[1])}, {}, planned(2.0));
    CHECK_THAT(*direct.differenceMs, WithinAbs(10.5, sumTolerance)); // the bridge is what it is compared with
    CHECK(direct.lines.size() == 3);

    const MeanBudget few = meanBudget(ofSession({30, 31, 32, 33}, 1), thisClock, 0.95);
    const Comparison without = acrossSessions({"earlier", meanOf(means[0]), meanOf(means[1])},
                                              SessionPair{"this session", meanOf(means[2]), meanOf(few)}, planned(2.0));
    CHECK(without.verdict == Verdict::TooFewTrials);
    CHECK_FALSE(without.interval);
}

TEST_CASE("intervals across sessions hold the truth as often as they say", "[stats][across]")
{
    std::mt19937 random(20261130); // what is drawn is fixed, so the count is too
    std::normal_distribution<double> normal;
    constexpr int sessions = 1500;
    const double truth[] = {52, 40, 31, 38}, sd[] = {3, 1, 2, 1.5}, clockU = 0.01;
    int held = 0;
    for (int i = 0; i < sessions; ++i) {
        const double off[] = {1 + clockU * normal(random), 1 + clockU * normal(random)};
        std::vector<MeanBudget> means;
        for (std::size_t k = 0; k < 4; ++k) {
            std::vector<Observation> trials;
            for (int trial = 0; trial < 8; ++trial) {
                const double delay = (truth[k] + sd[k] * normal(random)) * off[k / 2];
                trials.push_back({delay, 0, 0, trial + 1, 1, true, {{1, delay}}});
            }
            means.push_back(meanBudget(trials, std::vector<ErrorSource>{{1, "clock", clockU, endlessDof}}, 0.95));
        }
        const Comparison across = acrossSessions({"earlier", meanOf(means[0]), meanOf(means[1])},
                                                 SessionPair{"this", meanOf(means[2]), meanOf(means[3])}, planned({}));
        const double difference = (truth[0] - truth[1]) - (truth[2] - truth[3]);
        held += across.interval->low() <= difference && difference <= across.interval->high();
    }
    CHECK(held > sessions * 0.93); // 95 % and 3.5 standard deviations of the count
    CHECK(held < sessions * 0.97);
}
