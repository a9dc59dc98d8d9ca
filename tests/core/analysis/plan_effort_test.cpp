#include "core/analysis/plan_effort.h"
#include "core/session/edits.h"
#include "small_session.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::Contains;
using namespace analysis;

namespace {

session::Document planned(double marginMs, int configurations = 3)
{
    small::Builder made;
    for (int i = 0; i < configurations; ++i)
        made.configuration("c" + std::to_string(i));
    made.document.settings.plan.baseline = made.document.configurations.begin()->first;
    made.document.settings.plan.marginMs = marginMs;
    return made.document;
}

session::PlanBasis model(double refreshHz = 60, double captureRate = 240)
{
    session::PlanBasis basis;
    basis.refreshHz = refreshHz;
    basis.captureRate = captureRate;
    return basis;
}

} // namespace

TEST_CASE("a plan by the model needs margin, refresh and capture rate", "[report]")
{
    session::Document document = planned(2);
    const PilotFigures none = pilotFigures(document, compute(document));
    CHECK_THAT(planEffort(document, {}, none).missing, Contains("how often the display refreshes"));
    session::PlanBasis basis;
    basis.refreshHz = 60;
    CHECK_THAT(planEffort(document, basis, none).missing, Contains("at what rate the camera captures"));
    document.settings.plan.marginMs.reset();
    CHECK_THAT(planEffort(document, model(), none).missing, Contains("Set the margin first"));
}

TEST_CASE("a plan by the model takes the published spreads and is enough for its margin", "[report]")
{
    const session::Document document = planned(2);
    const PlanEffort plan = planEffort(document, model(), {});
    REQUIRE(plan.effort);
    // Waiting for 60 Hz and counting 240 frames a second: sqrt(R^2/12 + T^2/6) = 5.103103631 ms.
    CHECK(plan.spread.withinSdMs == Approx(5.103103631).epsilon(1e-9));
    CHECK(plan.goal.comparisons == 2);
    CHECK(plan.goal.alpha == Approx(0.05).epsilon(1e-12));
    CHECK(plan.effort->power >= 0.8);
    CHECK(plan.effort->baselineRuns == static_cast<int>(std::ceil(std::sqrt(2.0) * plan.effort->runs)));
    CHECK(plan.findsMs <= 2);
    const auto option = [&](const std::string& name) {
        const auto found = std::ranges::find(plan.options, name, &EffortOption::name);
        REQUIRE(found != plan.options.end());
        return *found;
    };
    const EffortOption asPlanned = plan.options.front();
    CHECK(asPlanned.name == "as planned, in interleaved blocks");
    CHECK(asPlanned.time == 1);
    for (const char* camera : {"camera at 480 a second", "camera at 960 a second"}) {
        CHECK(*option(camera).findsMs < *asPlanned.findsMs);
        CHECK(option(camera).time <= 1);
    }
    // Every option is one that the margin is found with, and none takes less time by its run lengths alone.
    for (const char* runs : {"runs of 2", "runs of 4", "runs of 10"}) {
        if (std::ranges::find(plan.options, runs, &EffortOption::name) == plan.options.end())
            continue; // the plan itself
        CHECK(option(runs).forMargin->power >= 0.8);
        CHECK(option(runs).time >= 1);
    }
    const EffortOption drifting = option("not interleaved, where something drifts by 1.0 ms");
    CHECK(drifting.time > 1);
    CHECK(*drifting.findsMs > *asPlanned.findsMs);
}

TEST_CASE("the plan is the one that takes least time by what a run costs", "[report]")
{
    const session::Document document = planned(2);
    session::PlanBasis basis = model();
    basis.betweenSdMs = 1;
    int last = 0;
    for (const double cost : {0.0, 2.0, 10.0, 50.0}) {
        CAPTURE(cost);
        basis.runCost = cost;
        const PlanEffort plan = planEffort(document, basis, {});
        REQUIRE(plan.effort);
        CHECK(plan.effort->trialsPerRun >= last); // dear runs are longer ones
        last = plan.effort->trialsPerRun;
        for (int trials = 2; trials <= 40; ++trials) // against a plain search
            CHECK(stats::timeOf(*stats::runsNeeded(plan.goal, plan.spread, trials, plan.sharedMs),
                                plan.goal.comparisons, cost)
                  >= stats::timeOf(*plan.effort, plan.goal.comparisons, cost));
    }
    CHECK(last > 2);
}

TEST_CASE("shared uncertainty that no run takes away is told as such", "[report]")
{
    const session::Document document = planned(1);
    session::PlanBasis basis = model();
    basis.sharedMs = 0.5;
    const PlanEffort plan = planEffort(document, basis, {});
    CHECK_FALSE(plan.effort);
    CHECK_THAT(plan.impossible,
               Catch::StartsWith("No number of runs is enough: what all trials share (clock, rows) is uncertain by "
                                 "0.50 ms, and for a margin of 1.0 ms it may be 0.33 ms at most."));
    basis.sharedMs = 0.2;
    CHECK(planEffort(document, basis, {}).effort);
}

TEST_CASE("a pilot's spread comes from the session's own trials", "[report]")
{
    small::Builder made;
    const auto wired = made.configuration("wired"), radio = made.configuration("radio");
    const auto clock = made.clock("camera", 1000, {made.source("rate", 1e-3)});
    made.document.settings.plan.baseline = wired;
    made.document.settings.plan.marginMs = 5;
    int number = 0;
    for (const auto id : {wired, radio})
        for (const int shift : {0, 4}) {
            const auto name = "r" + std::to_string(++number);
            made.trials(made.capture(name, clock), id, made.run(name),
                        {40 + shift, 42 + shift, 38 + shift, 40 + shift});
        }
    const PilotFigures pilot = pilotFigures(made.document, compute(made.document));
    CHECK(pilot.trials == 16);
    CHECK(pilot.runs == 4);
    REQUIRE(pilot.spread);
    // Each run: squares 0 + 4 + 4 + 0 on 3 degrees of freedom; runs of a configuration 4 ms apart: MS between = 4 * 8 /
    // 1 = 32.
    CHECK(pilot.spread->withinSdMs == Approx(std::sqrt(8.0 / 3)).epsilon(1e-9));
    CHECK(*pilot.spread->betweenSdMs == Approx(std::sqrt((32 - 8.0 / 3) / 4)).epsilon(1e-9));
    CHECK(*pilot.cameraIntervalMs == Approx(1).epsilon(1e-9));
    session::PlanBasis basis;
    basis.from = session::SpreadFrom::Trials;
    const PlanEffort plan = planEffort(made.document, basis, pilot);
    REQUIRE(plan.effort);
    CHECK_THAT(plan.basis, Contains("16 trials in 4 runs: SD 1.6 ms within a run, 2.7 ms from run to run."));
    CHECK_THAT(planEffort(planned(2), basis, {}).missing, Contains("show no scatter yet"));
}

TEST_CASE("the plan is taken over by one edit, with the baseline's own numbers", "[report]")
{
    session::Document document = planned(2);
    const PlanEffort plan = planEffort(document, model(), {});
    const session::Edit edit = takeOverPlan(document, model(), *plan.effort);
    const session::Document after = apply(document, edit);
    const session::Plan& taken = after.settings.plan;
    CHECK(taken.runsPerConfiguration == plan.effort->runs);
    CHECK(taken.trialsPerConfiguration == plan.effort->runs * plan.effort->trialsPerRun);
    CHECK(plannedRuns(taken, taken.baseline) == plan.effort->baselineRuns);
    CHECK(plannedTrials(taken, taken.baseline) == plan.effort->baselineRuns * plan.effort->trialsPerRun);
    CHECK(plannedRuns(taken, after.configurations.rbegin()->first) == plan.effort->runs);
    CHECK_FALSE(taken.planTime.empty());
    CHECK(apply(after, reversed(edit)) == document);

    document = planned(2, 2); // one comparison: both sides alike
    const PlanEffort pair = planEffort(document, model(), {});
    CHECK_FALSE(apply(document, takeOverPlan(document, model(), *pair.effort)).settings.plan.baselineRuns);
}
