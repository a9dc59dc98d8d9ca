#include "core/stats/mean_parts.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <set>

namespace stats {
namespace {

std::vector<double> delaysOf(std::span<const Observation> observations)
{
    std::vector<double> delays;
    delays.reserve(observations.size());
    for (const Observation& o : observations)
        delays.push_back(o.delayMs);
    return delays;
}

/// `weights` of the trials in the mean, in the order of `observations`.
std::optional<BudgetLine> phaseLine(std::span<const Observation> observations, std::span<const double> weights)
{
    struct Capture {
        double weight = 0;
        double squares = 0;
        int trials = 0;
        bool swept = true;
    };
    std::map<int, Capture> captures;
    for (std::size_t i = 0; i < observations.size(); ++i) {
        const Observation& o = observations[i];
        Capture& capture = captures[o.captureKey];
        capture.weight += weights[i];
        capture.squares += o.responseIntervalMs * o.responseIntervalMs;
        capture.trials += 1;
        capture.swept = capture.swept && o.phaseSwept;
    }
    double variance = 0;
    int standing = 0;
    for (const auto& [key, capture] : captures) {
        if (capture.swept)
            continue;
        variance += capture.weight * capture.weight * capture.squares / capture.trials / 12;
        ++standing;
    }
    if (standing == 0)
        return std::nullopt;
    const std::string label =
        captures.size() == 1 ? "phase of 1 capture" : "phase of " + std::to_string(captures.size()) + " captures";
    return BudgetLine{LineKind::Phase, label, std::sqrt(variance), endlessDof};
}

MeanParts overTrials(std::span<const Observation> observations)
{
    const auto n = static_cast<double>(observations.size());
    MeanParts parts;
    parts.basis = Basis::Trials;
    parts.units = static_cast<int>(observations.size());
    parts.estimateMs = mean(delaysOf(observations));
    bool floorUsed = false;
    const double u = std::sqrt(trialVariance(observations, floorUsed) / n);
    const std::string trials = parts.units == 1 ? "1 trial" : std::to_string(parts.units) + " trials";
    parts.scatter = {LineKind::Scatter, floorUsed ? "camera frame counting, " + trials : "scatter of " + trials, u,
                     n - 1};
    parts.phase = phaseLine(observations, std::vector<double>(observations.size(), 1 / n));
    for (const Observation& o : observations)
        for (const ErrorShare& share : o.errors)
            parts.weights[share.source] += share.sensitivityMs / n;
    return parts;
}

MeanParts overRuns(std::span<const Observation> observations)
{
    std::map<int, std::vector<const Observation*>> runs;
    std::map<int, std::set<int>> runsOfCapture;
    for (const Observation& o : observations) {
        runs[o.runKey].push_back(&o);
        runsOfCapture[o.captureKey].insert(o.runKey);
    }
    const auto count = static_cast<double>(runs.size());
    MeanParts parts;
    parts.basis = Basis::Runs;
    parts.units = static_cast<int>(runs.size());
    std::vector<double> runMeans;
    for (const auto& [key, trials] : runs) {
        std::vector<double> delays;
        for (const Observation* o : trials) {
            delays.push_back(o->delayMs);
            for (const ErrorShare& share : o->errors)
                parts.weights[share.source] += share.sensitivityMs / (static_cast<double>(trials.size()) * count);
        }
        runMeans.push_back(mean(delays));
    }
    parts.estimateMs = mean(runMeans);
    parts.scatter = {LineKind::Runs, "scatter of " + std::to_string(parts.units) + " run means",
                     standardDeviation(runMeans) / std::sqrt(count), count - 1};
    const bool ownCaptures = std::all_of(runsOfCapture.begin(), runsOfCapture.end(),
                                         [](const auto& capture) { return capture.second.size() == 1; });
    if (!ownCaptures) {
        std::vector<double> weights;
        for (const Observation& o : observations)
            weights.push_back(1 / (count * static_cast<double>(runs.at(o.runKey).size())));
        parts.phase = phaseLine(observations, weights);
    }
    return parts;
}

} // namespace

double trialVariance(std::span<const Observation> observations, bool& floorUsed)
{
    assert(!observations.empty());
    double floor = 0;
    for (const Observation& o : observations)
        floor += (o.pressIntervalMs * o.pressIntervalMs + o.responseIntervalMs * o.responseIntervalMs) / 12;
    floor /= static_cast<double>(observations.size());
    double variance = 0;
    if (observations.size() >= 2) {
        const double sd = standardDeviation(delaysOf(observations));
        variance = sd * sd;
    }
    floorUsed = variance < floor;
    return std::max(variance, floor);
}

int captureCount(std::span<const Observation> observations)
{
    std::set<int> captures;
    for (const Observation& o : observations)
        captures.insert(o.captureKey);
    return static_cast<int>(captures.size());
}

int runCount(std::span<const Observation> observations)
{
    std::set<int> runs;
    for (const Observation& o : observations)
        runs.insert(o.runKey);
    return runs.contains(0) ? 0 : static_cast<int>(runs.size());
}

std::vector<MeanParts> meanParts(std::span<const Observation> observations)
{
    std::vector<MeanParts> all;
    if (!observations.empty())
        all.push_back(overTrials(observations));
    if (runCount(observations) >= runsForScatter)
        all.push_back(overRuns(observations));
    return all;
}

std::vector<BudgetLine> sourceLines(const std::map<int, double>& weights, std::span<const ErrorSource> sources)
{
    std::vector<BudgetLine> lines;
    for (const ErrorSource& source : sources) {
        const auto weight = weights.find(source.key);
        if (weight != weights.end())
            lines.push_back(
                {source.kind, source.label, source.u * std::abs(weight->second), source.dof, weight->second, source.u});
    }
    assert(lines.size() == weights.size());
    return lines;
}

} // namespace stats
