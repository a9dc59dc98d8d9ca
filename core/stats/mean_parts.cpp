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

/// Variance of a delay from counting camera frames alone, the mean over trials.
double countingVariance(std::span<const Observation> observations)
{
    double sum = 0;
    for (const Observation& o : observations)
        sum += (o.pressIntervalMs * o.pressIntervalMs + o.responseIntervalMs * o.responseIntervalMs) / 12;
    return sum / static_cast<double>(observations.size());
}

/// What counts as one in a mean over runs: a run, a block where they are known, all trials of unknown run together.
int unitOf(const Observation& o) { return o.blockKey != 0 ? o.blockKey : o.runKey; }

using Runs = std::map<int, std::vector<double>>; ///< to the delays of their trials

/// Runs within their unit.
std::map<int, Runs> unitsOf(std::span<const Observation> observations)
{
    std::map<int, Runs> units;
    for (const Observation& o : observations)
        units[unitOf(o)][o.runKey].push_back(o.delayMs);
    return units;
}

std::vector<double> unitMeans(const std::map<int, Runs>& units)
{
    std::vector<double> means;
    for (const auto& [unit, runs] : units) {
        std::vector<double> runMeans;
        for (const auto& [run, delays] : runs)
            runMeans.push_back(mean(delays));
        means.push_back(mean(runMeans));
    }
    return means;
}

MeanParts overTrials(std::span<const Observation> observations, std::span<const double> weights)
{
    const auto n = static_cast<double>(observations.size());
    MeanParts parts;
    parts.basis = Basis::Trials;
    parts.trials = parts.units = static_cast<int>(observations.size());
    const bool alike = runCount(observations) < runsForScatter;
    parts.estimateMs = alike ? mean(delaysOf(observations)) : mean(unitMeans(unitsOf(observations)));
    double squares = 0;
    for (std::size_t i = 0; i < observations.size(); ++i) {
        squares += weights[i] * weights[i];
        for (const ErrorShare& share : observations[i].errors)
            parts.weights[share.source] += share.sensitivityMs * weights[i];
    }
    bool floorUsed = false;
    const double u = std::sqrt(trialVariance(observations, floorUsed) * squares);
    const std::string trials = parts.units == 1 ? "1 trial" : std::to_string(parts.units) + " trials";
    parts.scatter = {LineKind::Scatter, floorUsed ? "camera frame counting, " + trials : "scatter of " + trials, u,
                     n - 1};
    parts.phase = phaseLine(observations, weights);
    return parts;
}

/// Of the means of units, each with this variance.
MeanParts overRuns(const MeanParts& overTrials, std::span<const Observation> observations,
                   std::span<const double> weights, double variance, const std::string& more)
{
    std::map<int, std::set<int>> unitsOfCapture;
    std::set<int> units, runs;
    for (const Observation& o : observations) {
        unitsOfCapture[o.captureKey].insert(unitOf(o));
        units.insert(unitOf(o));
        runs.insert(o.runKey);
    }
    MeanParts parts = overTrials;
    parts.basis = Basis::Runs;
    parts.units = static_cast<int>(units.size());
    const std::string what = units.size() == runs.size() ? " run means" : " block means";
    parts.scatter = {LineKind::Runs, "scatter of " + std::to_string(parts.units) + what + more,
                     std::sqrt(variance / parts.units), parts.units - 1.0};
    const bool ownCaptures = std::all_of(unitsOfCapture.begin(), unitsOfCapture.end(),
                                         [](const auto& capture) { return capture.second.size() == 1; });
    parts.phase = ownCaptures ? std::nullopt : phaseLine(observations, weights);
    return parts;
}

} // namespace

std::vector<double> meanWeights(std::span<const Observation> observations)
{
    const auto n = static_cast<double>(observations.size());
    std::vector<double> weights(observations.size(), 1 / n);
    if (runCount(observations) < runsForScatter)
        return weights;
    const std::map<int, Runs> units = unitsOf(observations);
    for (std::size_t i = 0; i < observations.size(); ++i) {
        const Runs& runs = units.at(unitOf(observations[i]));
        weights[i] = 1 / static_cast<double>(units.size() * runs.size() * runs.at(observations[i].runKey).size());
    }
    return weights;
}

double trialVariance(std::span<const Observation> observations, bool& floorUsed)
{
    assert(!observations.empty());
    const double floor = countingVariance(observations);
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
    runs.erase(0);
    return static_cast<int>(runs.size());
}

RunScatter runScatter(std::span<const Observation> observations)
{
    const std::map<int, Runs> units = unitsOf(observations);
    RunScatter found;
    found.units = static_cast<int>(units.size());
    found.sdMs = standardDeviation(unitMeans(units));
    double squares = 0, dof = 0, reciprocals = 0;
    for (const auto& [unit, runs] : units)
        for (const auto& [run, delays] : runs) {
            const auto n = static_cast<double>(delays.size()), all = static_cast<double>(runs.size());
            if (delays.size() > 1)
                squares += std::pow(standardDeviation(delays), 2) * (n - 1);
            dof += n - 1;
            reciprocals += 1 / (n * all * all);
        }
    found.withinMs = std::sqrt(std::max(dof > 0 ? squares / dof : 0, countingVariance(observations)));
    found.trialsMs = found.withinMs * std::sqrt(reciprocals / found.units);
    return found;
}

std::vector<MeanParts> meanParts(std::span<const Observation> observations)
{
    std::vector<MeanParts> all;
    if (observations.empty())
        return all;
    const std::vector<double> weights = meanWeights(observations);
    all.push_back(overTrials(observations, weights));
    if (runCount(observations) >= runsForScatter) {
        const double sd = standardDeviation(unitMeans(unitsOf(observations)));
        all.push_back(overRuns(all.front(), observations, weights, sd * sd, {}));
    }
    return all;
}

std::vector<MeanParts> partsWithoutBlocks(std::span<const Observation> observations, const BlockVariance& variance)
{
    assert(runCount(observations) >= runsForScatter);
    const std::vector<double> weights = meanWeights(observations);
    const MeanParts trials = overTrials(observations, weights);
    std::vector<MeanParts> parts{
        overRuns(trials, observations, weights, variance.together, ", blocks taken out, all configurations together"),
        overRuns(trials, observations, weights, variance.own, ", blocks taken out")};
    parts.front().scatter.dof = variance.togetherDof / 2;
    return parts;
}

std::vector<std::optional<BlockVariance>> variancesWithoutBlocks(
    std::span<const std::span<const Observation>> configurations)
{
    std::vector<std::optional<BlockVariance>> variances(configurations.size());
    std::vector<std::vector<double>> means;
    std::vector<double> parts; // w of each
    double counting = 0;
    std::vector<std::size_t> places;
    std::set<int> blocks;
    for (std::size_t c = 0; c < configurations.size(); ++c) {
        const std::map<int, Runs> units = unitsOf(configurations[c]);
        std::set<int> own;
        for (const Observation& o : configurations[c])
            own.insert(o.blockKey);
        if (own.empty() || own.contains(0) || runCount(configurations[c]) < runsForScatter)
            continue;
        assert(blocks.empty() || own == blocks);
        blocks = std::move(own);
        means.push_back(unitMeans(units));
        places.push_back(c);
        double part = 0, trials = 0;
        for (const auto& [unit, runs] : units) {
            const auto all = static_cast<double>(runs.size());
            part += 1 / all;
            for (const auto& [run, delays] : runs)
                trials += 1 / (static_cast<double>(delays.size()) * all * all);
        }
        const auto count = static_cast<double>(units.size());
        parts.push_back(part / count);
        counting += countingVariance(configurations[c]) * trials / count;
    }
    if (places.size() < 3 || blocks.size() < static_cast<std::size_t>(runsForScatter))
        return variances;
    const std::vector<double> own = scatterWithoutBlocks(means); // its mean is the residual mean square
    std::vector<std::vector<double>> left = leftByBlock(means);
    const auto count = static_cast<double>(places.size());
    const double together = std::max(mean(own), counting / count);
    for (std::size_t i = 0; i < places.size(); ++i)
        variances[places[i]] =
            BlockVariance{together * parts[i] / mean(parts), static_cast<double>(blocks.size() - 1) * (count - 1),
                          std::max(own[i], 0.0), std::move(left[i])};
    return variances;
}

std::vector<BudgetLine> sourceLines(const std::map<int, double>& weights, std::span<const ErrorSource> sources)
{
    std::vector<BudgetLine> lines;
    for (const ErrorSource& source : sources) {
        const auto weight = weights.find(source.key);
        if (weight != weights.end())
            lines.push_back({source.kind, source.label, source.u * std::abs(weight->second), source.dof, weight->second,
                             source.u, source.key});
    }
    assert(lines.size() == weights.size());
    return lines;
}

} // namespace stats
