#include "core/stats/budget.h"
#include "core/stats/distributions.h"
#include "core/stats/mean_parts.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace stats {

ErrorSource rectangularSource(int key, std::string label, double fullWidthMs, LineKind kind)
{
    assert(fullWidthMs >= 0);
    return {key, std::move(label), fullWidthMs / std::sqrt(12.0), endlessDof, kind};
}

Combined combine(std::span<const BudgetLine> lines)
{
    double variance = 0;
    double denominator = 0; // of Welch and Satterthwaite: sum of u^4/dof
    for (const BudgetLine& line : lines) {
        const double square = line.uMs * line.uMs;
        variance += square;
        if (square > 0 && !std::isinf(line.dof)) {
            assert(line.dof > 0);
            denominator += square * square / line.dof;
        }
    }
    return {std::sqrt(variance), denominator > 0 ? variance * variance / denominator : endlessDof};
}

Expanded expand(double estimateMs, const Combined& combined, double level)
{
    const double factor = coverageFactor(level, combined.dof);
    return {estimateMs, combined.uMs, combined.dof, level, factor, factor * combined.uMs};
}

const MeanOnBasis* MeanBudget::shown() const
{
    if (!overTrials)
        return nullptr;
    const bool runsWider = overRuns && overRuns->interval->halfWidthMs > overTrials->interval->halfWidthMs;
    return runsWider ? &*overRuns : &*overTrials;
}

MeanBudget meanBudget(std::span<const Observation> observations, std::span<const ErrorSource> sources, double level)
{
    MeanBudget budget;
    budget.n = static_cast<int>(observations.size());
    budget.captures = captureCount(observations);
    budget.runs = runCount(observations);
    budget.theseRunsOnly = budget.runs < runsForScatter;
    budget.weights = meanWeights(observations);
    budget.withoutRun =
        static_cast<int>(std::ranges::count(observations, 0, [](const Observation& o) { return o.runKey; }));
    if (!budget.theseRunsOnly)
        budget.runScatter = runScatter(observations);
    if (!observations.empty())
        trialVariance(observations, budget.floorUsed);

    for (const MeanParts& parts : meanParts(observations)) {
        MeanOnBasis mean;
        mean.basis = parts.basis;
        mean.estimateMs = parts.estimateMs;
        mean.lines.push_back(parts.scatter);
        if (parts.phase)
            mean.lines.push_back(*parts.phase);
        const std::vector<BudgetLine> shared = sourceLines(parts.weights, sources);
        mean.lines.insert(mean.lines.end(), shared.begin(), shared.end());
        if (budget.n >= 2)
            mean.interval = expand(mean.estimateMs, combine(mean.lines), level);
        (parts.basis == Basis::Trials ? budget.overTrials : budget.overRuns) = std::move(mean);
    }
    return budget;
}

double beatCycles(double captureRate, double refreshHz, double relativeU, double seconds)
{
    assert(captureRate > 0 && refreshHz > 0 && relativeU >= 0 && seconds >= 0);
    const double ratio = captureRate / refreshHz;
    const auto distance = [&](double harmonic) {
        const double turns = ratio * harmonic;
        return std::max(std::abs(turns - std::round(turns)) - 2 * relativeU * turns, 0.0);
    };
    return std::min(distance(1), distance(2)) * refreshHz * seconds;
}

} // namespace stats
