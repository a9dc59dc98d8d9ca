#include "core/analysis/plan_effort.h"
#include "core/analysis/phrases.h"
#include "core/session/edits.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace analysis {
namespace {

std::string ms(double value) { return stats::formatFixed(value, stats::decimalsFor(value)) + " ms"; }

bool isShared(const stats::BudgetLine& line)
{
    return line.kind != stats::LineKind::Scatter && line.kind != stats::LineKind::Runs
           && line.kind != stats::LineKind::Phase;
}

std::optional<double> sharedOf(const Results& results)
{
    std::optional<double> most;
    for (const ConfigurationResult& result : results.configurations)
        if (result.comparison && result.comparison->interval) {
            double squares = 0;
            for (const stats::BudgetLine& line : result.comparison->lines)
                squares += isShared(line) ? line.uMs * line.uMs : 0;
            most = std::max(most.value_or(0), std::sqrt(squares));
        }
    return most;
}

/// What trials scatter by, or a sentence on what is missing.
struct Source {
    std::optional<stats::Spread> spread;
    std::optional<double> intervalMs; ///< of the camera, where it is known
    std::string words;                ///< in words, or what is missing
};

Source byModel(const session::PlanBasis& basis, const PilotFigures& pilot)
{
    const auto refresh = basis.refreshHz ? basis.refreshHz : pilot.refreshHz;
    const auto interval = basis.captureRate ? std::optional(1000 / *basis.captureRate) : pilot.cameraIntervalMs;
    if (!refresh)
        return {{}, {}, "Say how often the display refreshes, here or with a configuration."};
    if (!interval)
        return {{}, {}, "Say at what rate the camera captures, or settle a clock."};
    // Links between set-ups, warm-up and games make runs differ; a plan that took none would be of few, long ones.
    constexpr double assumedBetweenMs = 1;
    const stats::Spread spread = stats::modelledSpread(1000 / *refresh, *interval, basis.extraSdMs.value_or(0),
                                                       basis.betweenSdMs.value_or(assumedBetweenMs));
    return {spread, interval,
            "Model: SD " + ms(spread.withinSdMs) + " within a run (waiting for the refresh, counting camera frames"
                + (basis.extraSdMs.value_or(0) > 0 ? ", and what you expect besides" : "") + ")"
                + (spread.betweenSdMs > 0 ? ", " + ms(spread.betweenSdMs) + " from run to run"
                                                + (basis.betweenSdMs ? "." : ", assumed until trials show it.")
                                          : "; nothing from run to run but the camera's phase.")};
}

Source byTyping(const session::PlanBasis& basis, const PilotFigures& pilot)
{
    if (!basis.withinSdMs)
        return {{}, {}, "Type the SD of trials within a run."};
    const auto interval = basis.captureRate ? std::optional(1000 / *basis.captureRate) : pilot.cameraIntervalMs;
    const double between = basis.betweenSdMs.value_or(0);
    // Where runs were seen to differ their captures' phase is in that; else it is added.
    return {stats::Spread{*basis.withinSdMs, between, between > 0 ? 0 : interval.value_or(0)}, interval,
            "Spreads as typed."};
}

Source byTrials(const session::PlanBasis& basis, const PilotFigures& pilot)
{
    if (!pilot.spread)
        return {{},
                {},
                "The session's trials show no scatter yet: read at least two of a run in ms, or plan by the model."};
    if (pilot.spread->withinSdMs <= 0)
        return {
            {},
            {},
            "The session's trials are all alike within their runs, which says nothing of scatter; plan by the model."};
    const bool known = pilot.spread->betweenSdMs.has_value();
    const double between = known ? *pilot.spread->betweenSdMs : basis.betweenSdMs.value_or(0);
    std::string words = counted(pilot.trials, "trial") + " in " + counted(pilot.runs, "run") + ": SD "
                        + ms(pilot.spread->withinSdMs) + " within a run";
    words +=
        known ? between > 0 ? ", " + ms(between) + " from run to run." : ", no more from run to run than chance gives."
              : "; no configuration has two runs, so what changes from run to run isn't known"
                    + std::string(between > 0 ? " and is as typed." : ".");
    return {
        stats::Spread{pilot.spread->withinSdMs, between, known && between > 0 ? 0 : pilot.cameraIntervalMs.value_or(0)},
        pilot.cameraIntervalMs, words};
}

Source sourceOf(const session::PlanBasis& basis, const PilotFigures& pilot)
{
    switch (basis.from) {
    case session::SpreadFrom::Model: return byModel(basis, pilot);
    case session::SpreadFrom::Typed: return byTyping(basis, pilot);
    case session::SpreadFrom::Trials: return byTrials(basis, pilot);
    }
    return {};
}

std::optional<stats::PlannedEffort> effortFor(const session::PlanBasis& basis, const stats::Goal& goal,
                                              const stats::Spread& spread, double sharedMs)
{
    return basis.trialsPerRun ? stats::runsNeeded(goal, spread, *basis.trialsPerRun, sharedMs)
                              : stats::leastEffort(goal, spread, basis.runCost, sharedMs);
}

void addOptions(PlanEffort& plan, const session::PlanBasis& basis, std::optional<double> intervalMs)
{
    const stats::PlannedEffort& planned = *plan.effort;
    const auto add = [&](const std::string& name, const std::optional<stats::PlannedEffort>& forMargin,
                         std::optional<double> findsMs) {
        plan.options.push_back({name, forMargin, findsMs,
                                forMargin ? stats::timeOf(*forMargin, plan.goal.comparisons, basis.runCost)
                                                / stats::timeOf(planned, plan.goal.comparisons, basis.runCost)
                                          : 0});
    };
    const auto finds = [&](const stats::Spread& spread, const stats::PlannedEffort& effort) {
        return stats::smallestFound(plan.goal, spread, effort, plan.sharedMs);
    };
    add("as planned, in interleaved blocks", planned, plan.findsMs);
    for (const int trials : {2, 4, 10}) {
        if (trials == planned.trialsPerRun)
            continue;
        const double share = static_cast<double>(planned.trialsPerRun) / trials; // the same trials in other runs
        stats::PlannedEffort other = planned;
        other.trialsPerRun = trials;
        other.runs = static_cast<int>(std::lround(planned.runs * share));
        other.baselineRuns = static_cast<int>(std::lround(planned.baselineRuns * share));
        const bool enough = std::min(other.runs, other.baselineRuns) >= 2;
        add("runs of " + std::to_string(trials), stats::runsNeeded(plan.goal, plan.spread, trials, plan.sharedMs),
            enough ? std::optional(finds(plan.spread, other)) : std::nullopt);
    }
    // What moves all set-ups alike from block to block is taken out of differences only where the sheet interleaves.
    const double drift = plan.goal.marginMs / 2;
    stats::Spread drifting = plan.spread;
    drifting.betweenSdMs = std::hypot(drifting.betweenSdMs, drift);
    add("not interleaved, where something drifts by " + ms(drift), effortFor(basis, plan.goal, drifting, plan.sharedMs),
        finds(drifting, planned));
    if (intervalMs)
        for (const int times : {2, 4}) {
            const stats::Spread faster = stats::withCamera(plan.spread, *intervalMs, *intervalMs / times);
            add("camera at " + std::to_string(std::llround(times * 1000 / *intervalMs)) + " a second",
                effortFor(basis, plan.goal, faster, plan.sharedMs), finds(faster, planned));
        }
    constexpr double noticeable = 0.1; // of what it may be at most
    if (plan.sharedMs > noticeable * plan.mostSharedMs)
        add("no shared uncertainty", effortFor(basis, plan.goal, plan.spread, 0),
            stats::smallestFound(plan.goal, plan.spread, planned, 0));
}

} // namespace

PilotFigures pilotFigures(const session::Document& document, const Results& results)
{
    PilotFigures figures;
    std::map<std::pair<std::int64_t, std::int64_t>, stats::PilotRun> runs; // of a configuration; negative: a capture
    double intervals = 0;
    for (const TrialOutcome& outcome : thatCount(results.trials)) {
        const std::int64_t run = outcome.run ? outcome.run.value : -outcome.capture.value;
        stats::PilotRun& one = runs[{outcome.configuration.value, run}];
        one.configuration = static_cast<int>(
            std::ranges::find(results.configurations, outcome.configuration, &ConfigurationResult::configuration)
            - results.configurations.begin());
        one.delaysMs.push_back(outcome.delay->delay.count());
        intervals += outcome.delay->responseInterval.count();
        ++figures.trials;
    }
    std::vector<stats::PilotRun> all;
    for (auto& [key, run] : runs)
        all.push_back(std::move(run));
    figures.runs = static_cast<int>(all.size());
    figures.spread = stats::pilotSpread(all);
    double slowest = 0;
    for (const auto& [id, clock] : document.clocks)
        if (const session::ClockEvidence* evidence = session::settledEvidence(*clock)) {
            slowest = std::max(slowest, 1000 / evidence->rate.rate);
            figures.rateRelative = std::max(figures.rateRelative.value_or(0), evidence->rate.relativeUncertainty);
        }
    if (figures.trials > 0)
        figures.cameraIntervalMs = intervals / figures.trials;
    else if (slowest > 0)
        figures.cameraIntervalMs = slowest;
    for (const auto& [id, configuration] : document.configurations)
        if (configuration->refreshHz)
            figures.refreshHz =
                std::min(figures.refreshHz.value_or(*configuration->refreshHz), *configuration->refreshHz);
    figures.sharedMs = sharedOf(results);
    return figures;
}

int comparisonsPlanned(const session::Document& document, const session::PlanBasis& basis)
{
    return basis.comparisons.value_or(std::max(1, static_cast<int>(document.configurations.size()) - 1));
}

PlanEffort planEffort(const session::Document& document, const session::PlanBasis& basis, const PilotFigures& pilot)
{
    PlanEffort plan;
    const session::Plan& decided = document.settings.plan;
    if (!decided.marginMs) {
        plan.missing = "Set the margin first: the smallest difference in ms that matters to you.";
        return plan;
    }
    const Source source = sourceOf(basis, pilot);
    if (!source.spread) {
        plan.missing = source.words;
        return plan;
    }
    plan.basis = source.words;
    plan.spread = *source.spread;
    plan.goal = {*decided.marginMs, std::min(1 - decided.level, stats::highestAlpha),
                 comparisonsPlanned(document, basis), basis.power};
    plan.sharedMs = basis.sharedMs   ? *basis.sharedMs
                    : pilot.sharedMs ? *pilot.sharedMs
                                     : pilot.rateRelative.value_or(0) * plan.goal.marginMs;
    plan.mostSharedMs = stats::mostShared(plan.goal);
    plan.effort = effortFor(basis, plan.goal, plan.spread, plan.sharedMs);
    if (!plan.effort) {
        plan.impossible =
            plan.sharedMs >= plan.mostSharedMs
                ? "No number of runs is enough: what all trials share (clock, rows) is uncertain by "
                      + ms(plan.sharedMs) + ", and for a margin of "
                      + stats::formatFixed(plan.goal.marginMs, stats::decimalsFor(plan.goal.marginMs))
                      + " ms it may be " + ms(plan.mostSharedMs)
                      + " at most. Calibrate the camera, bring lamp and screen to the same rows, or widen the margin."
                : "More than 100,000 runs would be needed; widen the margin or lessen the scatter.";
        return plan;
    }
    plan.findsMs = stats::smallestFound(plan.goal, plan.spread, *plan.effort, plan.sharedMs);
    addOptions(plan, basis, source.intervalMs);
    return plan;
}

session::Edit takeOverPlan(const session::Document& document, const session::PlanBasis& basis,
                           const stats::PlannedEffort& effort)
{
    session::Settings settings = document.settings;
    session::Plan& plan = settings.plan;
    plan.basis = basis;
    plan.runsPerConfiguration = effort.runs;
    plan.trialsPerConfiguration = effort.runs * effort.trialsPerRun;
    const bool own = plan.baseline && effort.baselineRuns != effort.runs;
    plan.baselineRuns = own ? std::optional(effort.baselineRuns) : std::nullopt;
    plan.baselineTrials = own ? std::optional(effort.baselineRuns * effort.trialsPerRun) : std::nullopt;
    return session::setSettings(document, settings, "take over the plan");
}

} // namespace analysis
