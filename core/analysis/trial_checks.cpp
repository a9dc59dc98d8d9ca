#include "core/analysis/parts_of_results.h"
#include "core/stats/spread.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace analysis {
namespace {

constexpr int fewestForFences = 5;
constexpr int fewestForTrend = 8;
constexpr std::size_t fewestRunsForTrend = 5; // 4 in any order are no rarer than 1 in 12
constexpr std::size_t mostPairs =
    500'000; // results are worked out after each edit; 1000 trials of a configuration have as many
constexpr double intervalsBetweenGroups = 2; // nearer ones may be counting alone

/// Trials of one configuration that count, in order, and what they share.
struct Counting {
    std::vector<const TrialOutcome*> trials;
    double cameraIntervalMs = 0; ///< mean
};

struct Run {
    session::RunId id;
    std::vector<double> delaysMs;
};

/// Equal counts at different places of a film differ in the last bits of their delay. Ranks take them as equal only
/// without those: to a nanosecond, far below what any camera tells apart.
std::vector<double> rankable(std::vector<double> delaysMs)
{
    for (double& delay : delaysMs)
        delay = std::round(delay * 1e6) / 1e6;
    return delaysMs;
}

std::map<session::ConfigurationId, Counting> countingTrials(const Results& results)
{
    std::map<session::ConfigurationId, Counting> all;
    for (const TrialOutcome& outcome : thatCount(results.trials)) {
        Counting& counting = all[outcome.configuration];
        counting.trials.push_back(&outcome);
        counting.cameraIntervalMs += outcome.delay->responseInterval.count();
    }
    for (auto& [id, counting] : all)
        counting.cameraIntervalMs /= static_cast<double>(counting.trials.size());
    return all;
}

/// In order of their first trial; empty where a trial's run isn't known.
std::vector<Run> runsOf(const Counting& counting)
{
    std::vector<Run> runs;
    for (const TrialOutcome* outcome : counting.trials) {
        if (!outcome->run)
            return {};
        auto found = std::ranges::find(runs, outcome->run, &Run::id);
        if (found == runs.end())
            found = runs.insert(runs.end(), {outcome->run, {}});
        found->delaysMs.push_back(outcome->delay->delay.count());
    }
    return runs;
}

std::optional<stats::Trend> trendOverRuns(const Counting& counting)
{
    const std::vector<Run> runs = runsOf(counting);
    if (runs.size() < fewestRunsForTrend || runs.size() * (runs.size() - 1) / 2 > mostPairs)
        return std::nullopt;
    std::vector<double> means;
    for (const Run& run : runs)
        means.push_back(stats::mean(run.delaysMs));
    return stats::trend(rankable(means));
}

/// By the blocks of the run sheet that hold runs of both; runs that stand on no line are left out.
std::optional<stats::BlockDifferences> sheetBlocks(const session::RunSheet& sheet, const Counting& configuration,
                                                   const Counting& baseline, double level)
{
    std::map<int, std::array<std::vector<double>, 2>> means;
    for (const bool ofBaseline : {false, true})
        for (const Run& run : runsOf(ofBaseline ? baseline : configuration)) {
            const auto line = std::ranges::find(sheet.lines, run.id, &session::SheetLine::run);
            if (line != sheet.lines.end())
                means[line->block][ofBaseline].push_back(stats::mean(run.delaysMs));
        }
    std::vector<double> differences;
    for (const auto& [block, sides] : means)
        if (!sides[0].empty() && !sides[1].empty())
            differences.push_back(stats::mean(sides[0]) - stats::mean(sides[1]));
    return stats::meanOfBlocks(std::move(differences), level);
}

/// By the order on the sheet, else by where a run starts: the place of its first trial among all of the session's.
std::optional<stats::BlockDifferences> blocks(const session::Document& document, const Counting& configuration,
                                              const Counting& baseline, double level)
{
    if (document.settings.runSheet)
        if (auto found = sheetBlocks(*document.settings.runSheet, configuration, baseline, level))
            return found;
    std::map<const TrialOutcome*, stats::RunMean> inOrder; // outcomes stand in one vector, in order
    for (const Counting* side : {&configuration, &baseline}) {
        const std::vector<Run> runs = runsOf(*side);
        if (runs.empty())
            return std::nullopt;
        for (const Run& run : runs) {
            const auto first = std::ranges::find(side->trials, run.id, &TrialOutcome::run);
            inOrder[*first] = {side == &baseline, stats::mean(run.delaysMs)};
        }
    }
    std::vector<stats::RunMean> means;
    for (const auto& [first, mean] : inOrder)
        means.push_back(mean);
    return stats::blockDifferences(means, level);
}

void addOwn(Checks& checks, const ConfigurationResult& result, const session::Configuration& configuration,
            const Counting& counting)
{
    const std::vector<double> delays = rankable(result.delaysMs);
    checks.madMs = stats::medianAbsoluteDeviation(result.delaysMs);
    if (result.n >= fewestForFences)
        for (const stats::Outlier& outlier : stats::outliers(delays, stats::fences(delays, counting.cameraIntervalMs)))
            checks.apart.push_back(
                {counting.trials[outlier.place]->trial, result.delaysMs[outlier.place], outlier.far});
    if (result.n >= fewestForTrend && delays.size() * (delays.size() - 1) / 2 <= mostPairs)
        checks.overTrials = stats::trend(delays);
    checks.overRuns = trendOverRuns(counting);
    checks.groups = stats::twoGroups(result.delaysMs, intervalsBetweenGroups * counting.cameraIntervalMs);
    const double mean = result.mean.shown()->estimateMs;
    if (configuration.refreshHz) {
        const double interval = 1000 / *configuration.refreshHz;
        checks.bunching = stats::bunching(result.delaysMs, interval, counting.cameraIntervalMs);
        checks.refreshIntervals = mean / interval;
    }
    if (configuration.gameFrameRate)
        checks.gameFrames = mean * *configuration.gameFrameRate / 1000;
}

} // namespace

void addChecks(const session::Document& document, Results& results)
{
    const std::map<session::ConfigurationId, Counting> counting = countingTrials(results);
    const ConfigurationResult* baseline = find(results, results.baseline);
    for (ConfigurationResult& result : results.configurations) {
        if (result.n == 0)
            continue;
        const Counting& own = counting.at(result.configuration);
        addOwn(result.checks, result, *find(document, result.configuration), own);
        if (!result.comparison || !result.comparison->interval)
            continue;
        const double level = result.comparison->interval->level;
        if (result.delaysMs.size() * baseline->delaysMs.size() <= mostPairs)
            result.checks.ranks = stats::rankCheck(rankable(result.delaysMs), rankable(baseline->delaysMs), level);
        result.checks.blocks = blocks(document, own, counting.at(results.baseline), level);
    }
}

} // namespace analysis
