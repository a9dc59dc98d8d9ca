#include "core/stats/planning.h"
#include "core/stats/budget.h"
#include "core/stats/distributions.h"
#include "core/stats/dunnett.h"
#include "core/stats/mean_parts.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <array>
#include <boost/math/tools/toms748_solve.hpp>
#include <cassert>
#include <cmath>
#include <map>

namespace stats {
namespace {

constexpr int mostRuns = 100'000;

constexpr int fewestTrials = 2,
              mostTrials = 200; // in a run, where the program chooses; one alone shows no scatter within it

Combined uncertainty(const Spread& spread, const PlannedEffort& effort, double sharedUMs)
{
    const double runVariance = spread.betweenSdMs * spread.betweenSdMs
                               + spread.captureIntervalMs * spread.captureIntervalMs / 12
                               + spread.withinSdMs * spread.withinSdMs / effort.trialsPerRun;
    const std::array<BudgetLine, 3> lines{
        BudgetLine{LineKind::Runs, {}, std::sqrt(runVariance / effort.runs), effort.runs - 1.0},
        BudgetLine{LineKind::Runs, {}, std::sqrt(runVariance / effort.baselineRuns), effort.baselineRuns - 1.0},
        BudgetLine{LineKind::Clock, {}, sharedUMs, endlessDof},
    };
    return combine(lines);
}

/// Runs of a configuration and sqrt(k) times as many of the baseline, as effortOf() plans them.
SingleRisk riskOf(const Goal& goal)
{
    const double more = std::sqrt(static_cast<double>(goal.comparisons));
    return {goal.alpha, goal.comparisons, 1 / (1 + more)};
}

PlannedEffort effortOf(const Goal& goal, const SingleRisk& risk, const Spread& spread, int trialsPerRun,
                       double sharedUMs, int runs)
{
    PlannedEffort effort;
    effort.runs = runs;
    effort.baselineRuns = static_cast<int>(std::ceil(std::sqrt(static_cast<double>(goal.comparisons)) * runs - 1e-9));
    effort.trialsPerRun = trialsPerRun;
    const Combined combined = uncertainty(spread, effort, sharedUMs);
    effort.power = powerOf(goal.marginMs, combined.uMs, combined.dof, risk.at(combined.dof));
    return effort;
}

double exchanged(double sd, double taken, double given) { return std::sqrt(std::max(0.0, sd * sd - taken) + given); }

} // namespace

double powerOf(double delta, double u, double dof, double alpha)
{
    assert(u > 0 && dof > 0 && alpha > 0 && alpha < 1);
    const double bound = coverageFactor(1 - alpha, dof);
    const double shift = std::abs(delta) / u;
    return noncentralTCdf(-bound, dof, shift) + noncentralTUpper(bound, dof, shift);
}

double shiftFound(double dof, double alpha, double power)
{
    assert(power >= 0.5 && power < 1);
    const auto lack = [&](double shift) { return powerOf(shift, 1, dof, alpha) - power; };
    const double guess = coverageFactor(1 - alpha, dof) + tQuantile(power, dof);
    std::uintmax_t steps = 100;
    const auto [low, high] = boost::math::tools::bracket_and_solve_root(
        lack, std::max(guess, 0.1), 1.1, true, boost::math::tools::eps_tolerance<double>(40), steps);
    return (low + high) / 2;
}

std::optional<int> smallestCount(int fewest, int most, const std::function<bool(int)>& enough)
{
    int tooFew = fewest - 1, count = fewest;
    while (!enough(count)) {
        if (count >= most)
            return std::nullopt;
        tooFew = count;
        count = std::min(count * 2, most);
    }
    while (count - tooFew > 1) {
        const int middle = tooFew + (count - tooFew) / 2;
        (enough(middle) ? count : tooFew) = middle;
    }
    return count;
}

Spread modelledSpread(double refreshIntervalMs, double captureIntervalMs, double extraSdMs, double betweenSdMs)
{
    assert(refreshIntervalMs >= 0 && captureIntervalMs >= 0 && extraSdMs >= 0 && betweenSdMs >= 0);
    const double variance =
        refreshIntervalMs * refreshIntervalMs / 12 + captureIntervalMs * captureIntervalMs / 6 + extraSdMs * extraSdMs;
    return {std::sqrt(variance), betweenSdMs, captureIntervalMs};
}

Spread withCamera(const Spread& spread, double intervalMs, double otherIntervalMs)
{
    const double before = intervalMs * intervalMs, after = otherIntervalMs * otherIntervalMs;
    Spread other = spread;
    other.withinSdMs = exchanged(spread.withinSdMs, before / 6, after / 6);
    if (spread.captureIntervalMs > 0)
        other.captureIntervalMs = otherIntervalMs;
    else if (spread.betweenSdMs > 0)
        other.betweenSdMs = exchanged(spread.betweenSdMs, before / 12, after / 12);
    return other;
}

std::optional<Pilot> pilotSpread(std::span<const PilotRun> runs)
{
    struct Sums {
        double trials = 0, sum = 0, squaredSizes = 0;
        int runs = 0;
    };
    std::map<int, Sums> configurations;
    double squaresWithin = 0, squaresBetween = 0, trials = 0;
    for (const PilotRun& run : runs) {
        assert(!run.delaysMs.empty());
        const double n = static_cast<double>(run.delaysMs.size()), own = mean(run.delaysMs);
        for (const double delay : run.delaysMs)
            squaresWithin += (delay - own) * (delay - own);
        Sums& sums = configurations[run.configuration];
        sums.trials += n;
        sums.sum += n * own;
        sums.squaredSizes += n * n;
        ++sums.runs;
        trials += n;
    }
    const auto runCount = static_cast<double>(runs.size());
    Pilot pilot;
    pilot.withinDof = trials - runCount;
    if (pilot.withinDof <= 0)
        return std::nullopt;
    const double within = squaresWithin / pilot.withinDof;
    pilot.withinSdMs = std::sqrt(within);
    pilot.betweenDof = runCount - static_cast<double>(configurations.size());
    if (pilot.betweenDof <= 0)
        return pilot;
    double effective = trials; // n0 (runs - configurations): the trials of a run where all have as many
    for (const auto& [configuration, sums] : configurations)
        effective -= sums.squaredSizes / sums.trials;
    for (const PilotRun& run : runs) {
        const Sums& sums = configurations.at(run.configuration);
        const double apart = mean(run.delaysMs) - sums.sum / sums.trials;
        squaresBetween += static_cast<double>(run.delaysMs.size()) * apart * apart;
    }
    pilot.betweenSdMs = std::sqrt(std::max(0.0, (squaresBetween - within * pilot.betweenDof) / effective));
    return pilot;
}

std::optional<PlannedEffort> runsNeeded(const Goal& goal, const Spread& spread, int trialsPerRun, double sharedUMs)
{
    assert(goal.marginMs > 0 && goal.comparisons >= 1 && goal.power >= 0.5 && goal.power < 1 && trialsPerRun >= 1);
    assert(spread.withinSdMs > 0 && sharedUMs >= 0);
    const SingleRisk risk = riskOf(goal);
    const auto enough = [&](int runs) {
        return effortOf(goal, risk, spread, trialsPerRun, sharedUMs, runs).power >= goal.power;
    };
    const std::optional<int> runs = smallestCount(runsForScatter, mostRuns, enough);
    return runs ? std::optional(effortOf(goal, risk, spread, trialsPerRun, sharedUMs, *runs)) : std::nullopt;
}

double timeOf(const PlannedEffort& effort, int comparisons, double runCost)
{
    return (static_cast<double>(effort.runs) * comparisons + effort.baselineRuns) * (runCost + effort.trialsPerRun);
}

std::optional<PlannedEffort> leastEffort(const Goal& goal, const Spread& spread, double runCost, double sharedUMs)
{
    assert(runCost >= 0);
    std::optional<PlannedEffort> best;
    // Runs only get fewer with more trials, so once the fewest possible are reached, more trials cost time and bring
    // none.
    for (int trials = fewestTrials; trials <= mostTrials; trials += trials < 40 ? 1 : trials < 100 ? 5 : 20) {
        const auto effort = runsNeeded(goal, spread, trials, sharedUMs);
        if (effort && (!best || timeOf(*effort, goal.comparisons, runCost) < timeOf(*best, goal.comparisons, runCost)))
            best = effort;
        if (effort && effort->runs == runsForScatter)
            break;
    }
    return best;
}

double smallestFound(const Goal& goal, const Spread& spread, const PlannedEffort& effort, double sharedUMs)
{
    assert(effort.runs >= 2 && effort.baselineRuns >= 2 && effort.trialsPerRun >= 1);
    const Combined combined = uncertainty(spread, effort, sharedUMs);
    return shiftFound(combined.dof, riskOf(goal).at(combined.dof), goal.power) * combined.uMs;
}

double mostShared(const Goal& goal)
{
    // With endless runs only what is shared is left, and its t is the normal's.
    return goal.marginMs / smallestFound({1, goal.alpha, goal.comparisons, goal.power}, {1e-9, 0, 0}, {2, 2, 1, 0}, 1);
}

} // namespace stats
