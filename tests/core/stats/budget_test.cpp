#include "core/stats/budget.h"
#include "core/stats/distributions.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <map>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace stats;

namespace {

Observation trial(double delay, double interval, int capture, int run, std::vector<ErrorShare> errors = {})
{
    return {delay, interval, interval, capture, run, false, std::move(errors)};
}

const BudgetLine& line(const std::vector<BudgetLine>& lines, LineKind kind)
{
    for (const BudgetLine& l : lines)
        if (l.kind == kind)
            return l;
    FAIL("no such line");
    return lines.front();
}

bool has(const std::vector<BudgetLine>& lines, LineKind kind)
{
    for (const BudgetLine& l : lines)
        if (l.kind == kind)
            return true;
    return false;
}

constexpr double handTolerance = 1e-12; // sums of a few terms, worked out by hand to full digits

} // namespace

TEST_CASE("the budget of six trials adds up by hand", "[stats]")
{
    // Delays 90 92 94 91 95 96, mean 93, squares 9 + 1 + 1 + 4 + 4 + 9 = 28, s^2 = 5.6. T = 4 ms.
    std::vector<Observation> trials;
    for (const double delay : {90, 92, 94})
        trials.push_back(trial(delay, 4, 1, 1, {{7, delay}}));
    for (const double delay : {91, 95, 96})
        trials.push_back(trial(delay, 4, 2, 1, {{8, delay}}));
    const std::vector<ErrorSource> sources{{7, "rate of mode A", 0.01, endlessDof, LineKind::Clock},
                                           {8, "rate of mode B", 0.02, 8, LineKind::Clock}};
    const MeanBudget budget = meanBudget(trials, sources, 0.95);

    CHECK(budget.n == 6);
    CHECK(budget.captures == 2);
    CHECK(budget.runs == 1);
    CHECK(budget.theseRunsOnly);
    CHECK_FALSE(budget.floorUsed);
    CHECK_FALSE(budget.overRuns);
    REQUIRE(budget.overTrials);
    const auto& lines = budget.overTrials->lines;
    REQUIRE(lines.size() == 4);
    CHECK(budget.overTrials->estimateMs == 93);
    CHECK_THAT(lines[0].uMs, WithinAbs(std::sqrt(5.6 / 6), handTolerance));
    CHECK(lines[0].dof == 5);
    CHECK_THAT(lines[1].uMs, WithinAbs(std::sqrt(16.0 / (12 * 2)), handTolerance));
    CHECK(std::isinf(lines[1].dof));
    CHECK_THAT(lines[2].uMs, WithinAbs(0.01 * (90 + 92 + 94) / 6, handTolerance)); // 0.46
    CHECK(lines[2].label == "rate of mode A");
    CHECK_THAT(lines[3].uMs, WithinAbs(0.02 * (91 + 95 + 96) / 6, handTolerance)); // 0.94
    CHECK(lines[3].dof == 8);

    const double variance = 5.6 / 6 + 16.0 / 24 + 0.46 * 0.46 + 0.94 * 0.94;
    const double dof = variance * variance / (5.6 / 6 * 5.6 / 6 / 5 + std::pow(0.94, 4) / 8);
    const Expanded& interval = *budget.overTrials->interval;
    CHECK_THAT(interval.uMs, WithinAbs(std::sqrt(variance), handTolerance));
    CHECK_THAT(interval.dof, WithinRel(dof, 1e-12));
    CHECK_THAT(interval.dof, WithinAbs(26.72, 0.01)); // the same by desk calculator
    CHECK(interval.factor == coverageFactor(0.95, interval.dof));
    CHECK_THAT(interval.halfWidthMs, WithinAbs(interval.factor * std::sqrt(variance), handTolerance));
    CHECK(budget.shown() == &*budget.overTrials);
}

TEST_CASE("equal counts prove no precision: the floor stands in for the scatter", "[stats]")
{
    std::vector<Observation> trials(9, Observation{50, 4, 2, 1, 1, false, {}});
    const MeanBudget budget = meanBudget(trials, {}, 0.95);
    CHECK(budget.floorUsed);
    const BudgetLine& scatter = line(budget.overTrials->lines, LineKind::Scatter);
    CHECK_THAT(scatter.uMs, WithinAbs(std::sqrt((16.0 + 4.0) / 12 / 9), handTolerance));
    CHECK(scatter.dof == 8);
}

TEST_CASE("the floor is the mean over trials where intervals differ", "[stats]")
{
    std::vector<Observation> trials;
    trials.push_back({50, 4, 4, 1, 1, false, {}});
    trials.push_back({50, 2, 8, 2, 1, false, {}}); // a gap before the response
    const MeanBudget budget = meanBudget(trials, {}, 0.95);
    CHECK_THAT(line(budget.overTrials->lines, LineKind::Scatter).uMs,
               WithinAbs(std::sqrt(((16.0 + 16.0) / 12 + (4.0 + 64.0) / 12) / 2 / 2), handTolerance));
    // Phase: T^2 of each capture's responses, 16 and 64, over 12 and over two captures squared.
    CHECK_THAT(line(budget.overTrials->lines, LineKind::Phase).uMs,
               WithinAbs(std::sqrt((16.0 + 64.0) / 12) / 2, handTolerance));
}

TEST_CASE("one trial gives a value and no interval", "[stats]")
{
    const std::vector<Observation> one{trial(42, 4, 1, 1)};
    const MeanBudget budget = meanBudget(one, {}, 0.95);
    REQUIRE(budget.shown());
    CHECK(budget.shown()->estimateMs == 42);
    CHECK_FALSE(budget.shown()->interval);
    CHECK(line(budget.shown()->lines, LineKind::Scatter).dof == 0);

    const MeanBudget none = meanBudget({}, {}, 0.95);
    CHECK(none.n == 0);
    CHECK_FALSE(none.shown());
    CHECK(none.theseRunsOnly);
}

TEST_CASE("more trials in a capture shrink its scatter but not its phase", "[stats]")
{
    std::vector<Observation> trials;
    for (int i = 0; i < 40; ++i)
        trials.push_back(trial(80 + i % 5, 6, 1, 1));
    const MeanBudget few = meanBudget(std::span(trials).first(10), {}, 0.95);
    const MeanBudget many = meanBudget(trials, {}, 0.95);
    const double phase = 6 / std::sqrt(12.0);
    CHECK_THAT(line(few.overTrials->lines, LineKind::Phase).uMs, WithinAbs(phase, handTolerance));
    CHECK_THAT(line(many.overTrials->lines, LineKind::Phase).uMs, WithinAbs(phase, handTolerance));
    CHECK(many.overTrials->interval->halfWidthMs > phase * 1.9); // never below the phase's own interval
}

TEST_CASE("phase weighs as a capture's trials weigh in the mean", "[stats]")
{
    // Nine trials of one capture, one of another: T^2/12 (0.9^2 + 0.1^2), nearly that of a single capture.
    std::vector<Observation> trials;
    for (int i = 0; i < 10; ++i)
        trials.push_back(trial(80 + i, 6, i < 9 ? 1 : 2, 1));
    CHECK_THAT(line(meanBudget(trials, {}, 0.95).overTrials->lines, LineKind::Phase).uMs,
               WithinAbs(std::sqrt(3.0 * (0.81 + 0.01)), handTolerance));

    // Four runs in two captures, 1 and 3 of them; on either basis a run's trials share its quarter.
    trials.clear();
    for (int run = 1; run <= 4; ++run)
        for (int i = 0; i < run; ++i)
            trials.push_back(trial(80 + i, 6, run == 1 ? 1 : 2, run));
    const MeanBudget budget = meanBudget(trials, {}, 0.95);
    CHECK_THAT(line(budget.overTrials->lines, LineKind::Phase).uMs,
               WithinAbs(std::sqrt(3.0 * (1 + 9) / 16), handTolerance));
    CHECK_THAT(line(budget.overRuns->lines, LineKind::Phase).uMs,
               WithinAbs(std::sqrt(3.0 * (1 + 9) / 16), handTolerance));
}

TEST_CASE("a capture whose beat is shown to sweep adds no phase", "[stats]")
{
    std::vector<Observation> trials;
    for (int i = 0; i < 8; ++i)
        trials.push_back(trial(80 + i, 6, i < 4 ? 1 : 2, 1));
    for (int i = 0; i < 4; ++i)
        trials[i].phaseSwept = true;
    CHECK_THAT(line(meanBudget(trials, {}, 0.95).overTrials->lines, LineKind::Phase).uMs,
               WithinAbs(std::sqrt(36.0 / 12) / 2, handTolerance)); // the other capture's, still weighing a half
    trials[4].phaseSwept = trials[5].phaseSwept = trials[6].phaseSwept = true;
    CHECK(has(meanBudget(trials, {}, 0.95).overTrials->lines, LineKind::Phase)); // one trial of the capture isn't
    trials[7].phaseSwept = true;
    CHECK_FALSE(has(meanBudget(trials, {}, 0.95).overTrials->lines, LineKind::Phase));
}

TEST_CASE("run means that differ more than their trials widen the interval", "[stats]")
{
    // Four runs, a capture each, means 80 84 88 92, trials +-1 around them.
    std::vector<Observation> trials;
    for (int run = 1; run <= 4; ++run)
        for (const double off : {-1.0, 1.0, -1.0, 1.0, 0.0})
            trials.push_back(trial(76 + 4 * run + off, 1, run, run, {{1, 76 + 4 * run + off}}));
    const std::vector<ErrorSource> sources{{1, "rate", 0.01, endlessDof, LineKind::Clock}};
    const MeanBudget budget = meanBudget(trials, sources, 0.95);
    CHECK(budget.runs == 4);
    CHECK_FALSE(budget.theseRunsOnly);
    REQUIRE(budget.overRuns);
    CHECK(budget.shown() == &*budget.overRuns);
    CHECK(budget.overRuns->estimateMs == 86);
    const BudgetLine& runs = line(budget.overRuns->lines, LineKind::Runs);
    CHECK_THAT(runs.uMs, WithinAbs(std::sqrt((36.0 + 4 + 4 + 36) / 3 / 4), handTolerance));
    CHECK(runs.dof == 3);
    CHECK_THAT(line(budget.overRuns->lines, LineKind::Clock).uMs, WithinAbs(0.86, handTolerance));
    CHECK_FALSE(has(budget.overRuns->lines, LineKind::Phase)); // differs from run to run, so the run means show it
    CHECK(has(budget.overTrials->lines, LineKind::Phase));
}

TEST_CASE("phase that runs share stays beside their scatter", "[stats]")
{
    std::vector<Observation> trials;
    for (int run = 1; run <= 4; ++run)
        for (const double off : {-1.0, 1.0})
            trials.push_back(trial(80 + run + off, 3, run <= 2 ? 1 : 2, run));
    const MeanBudget budget = meanBudget(trials, {}, 0.95);
    REQUIRE(budget.overRuns);
    CHECK_THAT(line(budget.overRuns->lines, LineKind::Phase).uMs, WithinAbs(std::sqrt(9.0 / 24), handTolerance));
}

TEST_CASE("runs of unequal size: shares weigh as their trials do in the mean of run means", "[stats]")
{
    std::vector<Observation> trials;
    for (int run = 1; run <= 4; ++run)
        trials.push_back(trial(100 + 10 * run, 0, run, run, {{1, 100.0 + 10 * run}}));
    trials.push_back(trial(90, 0, 1, 1, {{1, 90}})); // run 1: 110 and 90, mean 100
    const std::vector<ErrorSource> sources{{1, "rate", 0.1, endlessDof, LineKind::Clock}};
    const MeanBudget budget = meanBudget(trials, sources, 0.95);
    CHECK(budget.overRuns->estimateMs == 122.5);   // (100 + 120 + 130 + 140)/4
    CHECK(budget.overTrials->estimateMs == 122.5); // the mean is one figure, whatever its interval goes by
    // s^2 = 370 over all five; weights 1/8, 1/8 and three times 1/4.
    CHECK_THAT(line(budget.overTrials->lines, LineKind::Scatter).uMs,
               WithinAbs(std::sqrt(370 * (2.0 / 64 + 3.0 / 16)), handTolerance));
    CHECK_THAT(line(budget.overTrials->lines, LineKind::Clock).uMs, WithinAbs(12.25, handTolerance));
    CHECK_THAT(line(budget.overRuns->lines, LineKind::Clock).uMs, WithinAbs(12.25, handTolerance));
}

TEST_CASE("trials of unknown run are one unit more where 4 runs are known", "[stats]")
{
    std::vector<Observation> trials;
    for (int i = 0; i < 10; ++i)
        trials.push_back(trial(80 + i, 1, 1, i < 2 ? 0 : 1 + i / 2)); // two without, then 4 runs of two
    const MeanBudget budget = meanBudget(trials, {}, 0.95);
    CHECK(budget.runs == 4);
    CHECK(budget.withoutRun == 2);
    CHECK_FALSE(budget.theseRunsOnly);
    REQUIRE(budget.overRuns);
    CHECK(line(budget.overRuns->lines, LineKind::Runs).dof == 4); // 80.5 82.5 84.5 86.5 88.5
    CHECK_THAT(line(budget.overRuns->lines, LineKind::Runs).uMs, WithinAbs(std::sqrt(10.0 / 5), handTolerance));

    const MeanBudget few = meanBudget(std::span(trials).first(8), {}, 0.95);
    CHECK(few.runs == 3);
    CHECK(few.theseRunsOnly);
    CHECK_FALSE(few.overRuns);
}

TEST_CASE("how runs scatter stands beside what their trials alone would give", "[stats]")
{
    // Four runs of two trials +-1: means 80 84 88 92, within-run SD sqrt(2).
    std::vector<Observation> trials;
    for (int run = 1; run <= 4; ++run)
        for (const double off : {-1.0, 1.0})
            trials.push_back(trial(76 + 4 * run + off, 1, run, run));
    const MeanBudget budget = meanBudget(trials, {}, 0.95);
    REQUIRE(budget.runScatter);
    CHECK(budget.runScatter->units == 4);
    CHECK_THAT(budget.runScatter->sdMs, WithinAbs(std::sqrt(80.0 / 3), handTolerance));
    CHECK_THAT(budget.runScatter->withinMs, WithinAbs(std::sqrt(2.0), handTolerance));
    CHECK_THAT(budget.runScatter->trialsMs, WithinAbs(1, handTolerance));
    // Trials all alike: counting alone scatters by T^2/6.
    for (Observation& o : trials)
        o.delayMs = 80;
    CHECK_THAT(meanBudget(trials, {}, 0.95).runScatter->withinMs, WithinAbs(std::sqrt(1 / 6.0), handTolerance));
    CHECK_FALSE(meanBudget(std::span(trials).first(6), {}, 0.95).runScatter);
}

TEST_CASE("an offset of stated width enters as rectangular, once, whatever n", "[stats]")
{
    const std::vector<ErrorSource> sources{rectangularSource(3, "lamp lead", 0.6, LineKind::Lamp)};
    std::vector<Observation> trials;
    for (int i = 0; i < 50; ++i)
        trials.push_back(trial(80 + i % 7, 1, 1, 1, {{3, 1}}));
    const MeanBudget budget = meanBudget(trials, sources, 0.95);
    CHECK_THAT(line(budget.overTrials->lines, LineKind::Lamp).uMs, WithinAbs(0.6 / std::sqrt(12.0), handTolerance));
}

TEST_CASE("splitting a source into its parts changes nothing", "[stats]")
{
    const std::vector<BudgetLine> whole{{LineKind::Scatter, "s", 2, 10}, {LineKind::Clock, "c", 3, 5}};
    const double u = std::sqrt(13.0);
    const Combined both = combine(whole);
    CHECK_THAT(both.uMs, WithinRel(u, 1e-15));
    CHECK_THAT(both.dof, WithinRel(169 / (16.0 / 10 + 81.0 / 5), 1e-14));
    CHECK(std::isinf(combine({}).dof));
    CHECK(combine({}).uMs == 0);
}

TEST_CASE("240 camera frames a second beat slowly with a 59.94 Hz display", "[stats]")
{
    // 240/59.94 = 4.004004: 0.004004 * 59.94 = 0.24 cycles a second.
    CHECK_THAT(beatCycles(240, 59.94, 0, 10), WithinAbs(2.4, 1e-9));
    CHECK(beatCycles(240, 60, 0, 1000) < 1e-9);
    CHECK(beatCycles(960, 144, 0, 1) > 40);
    CHECK(beatCycles(240, 160, 0, 1000) < 1e-9);      // only ever two phases
    CHECK(beatCycles(240, 59.94, 0.0006, 1000) == 0); // 2 * 0.0006 * 4.004 exceeds the 0.004: not shown to move
}
