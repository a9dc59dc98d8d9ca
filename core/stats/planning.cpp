#include "core/stats/planning.h"
#include "core/stats/budget.h"
#include "core/stats/distributions.h"
#include "core/stats/mean_parts.h"

#include <array>
#include <cassert>
#include <cmath>

namespace stats {
namespace {

constexpr int mostRuns = 100'000;

PlannedEffort effortOf(const Goal& goal, const Spread& spread, int trialsPerRun, double sharedUMs, int runs)
{
    PlannedEffort effort;
    effort.runs = runs;
    effort.baselineRuns = static_cast<int>(std::ceil(std::sqrt(static_cast<double>(goal.comparisons)) * runs - 1e-9));
    effort.trialsPerRun = trialsPerRun;
    const double runVariance = spread.betweenSdMs * spread.betweenSdMs + spread.captureIntervalMs * spread.captureIntervalMs / 12
        + spread.withinSdMs * spread.withinSdMs / trialsPerRun;
    const std::array<BudgetLine, 3> lines{
        BudgetLine{LineKind::Runs, {}, std::sqrt(runVariance / runs), runs - 1.0},
        BudgetLine{LineKind::Runs, {}, std::sqrt(runVariance / effort.baselineRuns), effort.baselineRuns - 1.0},
        BudgetLine{LineKind::Clock, {}, sharedUMs, endlessDof},
    };
    const Combined combined = combine(lines);
    effort.power = powerOf(goal.marginMs, combined.uMs, combined.dof, goal.alpha / goal.comparisons);
    return effort;
}

} // namespace

double powerOf(double delta, double u, double dof, double alpha)
{
    assert(u > 0 && dof > 0 && alpha > 0 && alpha < 1);
    const double bound = coverageFactor(1 - alpha, dof);
    const double shift = std::abs(delta) / u;
    return noncentralTCdf(-bound, dof, shift) + noncentralTUpper(bound, dof, shift);
}

Spread modelledSpread(double refreshIntervalMs, double captureIntervalMs, double extraSdMs, double betweenSdMs)
{
    assert(refreshIntervalMs >= 0 && captureIntervalMs >= 0 && extraSdMs >= 0 && betweenSdMs >= 0);
    const double variance = refreshIntervalMs * refreshIntervalMs / 12 + captureIntervalMs * captureIntervalMs / 6 + extraSdMs * extraSdMs;
    return {std::sqrt(variance), betweenSdMs, captureIntervalMs};
}

std::optional<PlannedEffort> runsNeeded(const Goal& goal, const Spread& spread, int trialsPerRun, double sharedUMs)
{
    assert(goal.marginMs > 0 && goal.comparisons >= 1 && goal.power > 0.5 && goal.power < 1 && trialsPerRun >= 1);
    assert(spread.withinSdMs > 0 && sharedUMs >= 0);
    const auto enough = [&](int runs) { return effortOf(goal, spread, trialsPerRun, sharedUMs, runs).power >= goal.power; };
    int tooFew = runsForScatter - 1, runs = runsForScatter;
    while (!enough(runs)) {
        if (runs >= mostRuns)
            return std::nullopt;
        tooFew = runs;
        runs = std::min(2 * runs, mostRuns);
    }
    while (runs - tooFew > 1) {
        const int middle = tooFew + (runs - tooFew) / 2;
        (enough(middle) ? runs : tooFew) = middle;
    }
    return effortOf(goal, spread, trialsPerRun, sharedUMs, runs);
}

} // namespace stats
