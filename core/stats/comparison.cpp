#include "core/stats/comparison.h"
#include "core/stats/distributions.h"
#include "core/stats/mean_parts.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <functional>
#include <map>

namespace stats {
namespace {

constexpr int fewestForVerdict = 5;
constexpr double power = 0.8;
constexpr int mostUnits = 1'000'000; // trials or runs; beyond it "needed" means nothing to anyone

BudgetLine named(BudgetLine line, const std::string& side, double sign)
{
    line.label = side + ": " + line.label;
    line.weight *= sign;
    return line;
}

/// Every source once, with the difference of its two weights.
std::vector<BudgetLine> sharedLines(const MeanParts& configuration, const MeanParts& baseline,
                                    std::span<const ErrorSource> sources)
{
    std::map<int, double> weights = configuration.weights;
    for (const auto& [source, weight] : baseline.weights)
        weights[source] -= weight;
    return sourceLines(weights, sources);
}

std::vector<BudgetLine> differenceLines(const MeanParts& configuration, const MeanParts& baseline,
                                        std::span<const ErrorSource> sources, const ComparisonPlan& plan)
{
    std::vector<BudgetLine> lines{named(configuration.scatter, plan.configuration, 1),
                                  named(baseline.scatter, plan.baseline, -1)};
    if (configuration.phase)
        lines.push_back(named(*configuration.phase, plan.configuration, 1));
    if (baseline.phase)
        lines.push_back(named(*baseline.phase, plan.baseline, -1));
    const std::vector<BudgetLine> shared = sharedLines(configuration, baseline, sources);
    lines.insert(lines.end(), shared.begin(), shared.end());
    return lines;
}

Verdict verdictOf(const Expanded& drawn, const Expanded& equivalence, std::optional<double> marginMs)
{
    const auto inside = [&](const Expanded& interval) {
        return marginMs && interval.low() > -*marginMs && interval.high() < *marginMs;
    };
    if (drawn.low() > 0)
        return inside(drawn) ? Verdict::LongerWithinMargin : Verdict::Longer;
    if (drawn.high() < 0)
        return inside(drawn) ? Verdict::ShorterWithinMargin : Verdict::Shorter;
    return inside(equivalence) ? Verdict::SameWithinMargin : Verdict::NotResolved;
}

/// Smallest difference found with `power` when the interval reaches `reach` (a probability) to one side: the t form of
/// (z_reach + z_power) u, exact enough for planning from about 5 degrees of freedom on.
double detectable(const Combined& combined, double reach, double chance)
{
    return (tQuantile(reach, combined.dof) + tQuantile(chance, combined.dof)) * combined.uMs;
}

/// Smallest count from `fewest` on that meets `enough`, which must stay met once it is.
std::optional<int> smallestCount(int fewest, const std::function<bool(int)>& enough)
{
    int tooFew = fewest - 1;
    int count = fewest;
    while (!enough(count)) {
        tooFew = count;
        if (count >= mostUnits)
            return std::nullopt;
        count = std::min(count * 2, mostUnits);
    }
    while (count - tooFew > 1) {
        const int middle = tooFew + (count - tooFew) / 2;
        (enough(middle) ? count : tooFew) = middle;
    }
    return count;
}

/// The difference with `units` trials (or runs) on each side instead of those there are: scatter and phase shrink,
/// captures growing as the trials do; shared errors stay.
Combined outlook(const MeanParts& configuration, const MeanParts& baseline, const std::vector<BudgetLine>& shared,
                 int units)
{
    std::vector<BudgetLine> lines = shared;
    for (const MeanParts* side : {&configuration, &baseline}) {
        const double shrink = std::sqrt(static_cast<double>(side->units) / units);
        lines.push_back({side->scatter.kind, {}, side->scatter.uMs * shrink, static_cast<double>(units - 1)});
        if (side->phase)
            lines.push_back({LineKind::Phase, {}, side->phase->uMs * shrink, endlessDof});
    }
    return combine(lines);
}

Effort effortFor(double marginMs, const std::vector<MeanParts>& configuration, const std::vector<MeanParts>& baseline,
                 std::span<const ErrorSource> sources, double reachResolve, double reachSame)
{
    const std::vector<BudgetLine> shared = sharedLines(configuration.front(), baseline.front(), sources);
    // Where only one side has runs enough, its run-to-run scatter is the best guess for the other.
    const std::vector<MeanParts>& runsHere = configuration.size() > 1 ? configuration : baseline;
    const std::vector<MeanParts>& runsThere = baseline.size() > 1 ? baseline : configuration;
    const bool runsKnown = runsHere.size() > 1;

    Effort effort;
    const auto needed = [&](double reach, double chance) -> std::optional<Needed> {
        if (detectable(combine(shared), reach, chance) >= marginMs) {
            effort.clockLimits = true;
            return std::nullopt;
        }
        const auto trials = smallestCount(fewestForVerdict, [&](int count) {
            return detectable(outlook(configuration.front(), baseline.front(), shared, count), reach, chance)
                   <= marginMs;
        });
        if (!trials || !runsKnown)
            return trials ? std::optional(Needed{*trials, runsForScatter}) : std::nullopt;
        const auto runs = smallestCount(runsForScatter, [&](int count) {
            return detectable(outlook(runsHere.back(), runsThere.back(), shared, count), reach, chance) <= marginMs;
        });
        if (!runs)
            return std::nullopt;
        const double trialsPerRun = static_cast<double>(runsHere.front().units + runsThere.front().units)
                                    / (runsHere.back().units + runsThere.back().units);
        return Needed{std::max(*trials, static_cast<int>(std::ceil(*runs * trialsPerRun))), *runs};
    };
    effort.toResolve = needed(reachResolve, power);
    effort.toShowSame = needed(reachSame, 1 - (1 - power) / 2); // both ends must hold, so half the risk goes to each
    return effort;
}

} // namespace

Comparison compare(std::span<const Observation> configuration, std::span<const Observation> baseline,
                   std::span<const ErrorSource> sources, const ComparisonPlan& plan)
{
    assert(plan.alpha > 0 && plan.alpha < 0.5 && plan.comparisons >= 1 && (!plan.marginMs || *plan.marginMs > 0));
    Comparison result;
    const auto fewest = static_cast<int>(std::min(configuration.size(), baseline.size()));
    const auto below = [](std::size_t trials, const std::optional<int>& planned) {
        return planned && trials < static_cast<std::size_t>(*planned);
    };
    result.interim =
        below(configuration.size(), plan.plannedTrials)
        || below(baseline.size(), plan.plannedBaselineTrials ? plan.plannedBaselineTrials : plan.plannedTrials);
    if (baseline.empty())
        return result;
    result.verdict = Verdict::TooFewTrials;
    if (configuration.empty())
        return result;
    const std::vector<MeanParts> here = meanParts(configuration);
    const std::vector<MeanParts> there = meanParts(baseline);
    result.differenceMs = here.front().estimateMs - there.front().estimateMs;
    if (fewest < fewestForVerdict)
        return result;

    const double share = plan.alpha / plan.comparisons;
    Combined combined;
    for (const MeanParts& mine : here)
        for (const MeanParts& base : there) {
            std::vector<BudgetLine> lines = differenceLines(mine, base, sources, plan);
            const Combined candidate = combine(lines);
            const Expanded interval = expand(mine.estimateMs - base.estimateMs, candidate, 1 - share);
            if (result.interval && interval.halfWidthMs <= result.interval->halfWidthMs)
                continue;
            combined = candidate;
            result.interval = interval;
            result.lines = std::move(lines);
            result.basis = mine.basis;
            result.baselineBasis = base.basis;
        }
    result.differenceMs = result.interval->estimateMs;
    result.equivalence = expand(*result.differenceMs, combined, 1 - 2 * share);
    result.verdict = verdictOf(*result.interval, *result.equivalence, plan.marginMs);
    result.smallestResolvableMs = detectable(combined, 1 - share / 2, power);
    if (plan.marginMs)
        result.effort = effortFor(*plan.marginMs, here, there, sources, 1 - share / 2, 1 - share);
    return result;
}

} // namespace stats
