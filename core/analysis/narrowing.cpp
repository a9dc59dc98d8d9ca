#include "core/analysis/narrowing.h"
#include "core/analysis/phrases.h"
#include "core/stats/distributions.h"
#include "core/stats/dunnett.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace analysis {
namespace {

constexpr int moreRuns = 4;
constexpr double worthwhile = 0.95;

using Cause = Narrowing::Cause;
using Step = Narrowing::Step;

Cause causeOf(stats::LineKind kind)
{
    switch (kind) {
    case stats::LineKind::Scatter: return Cause::Trials;
    case stats::LineKind::Runs: return Cause::Runs;
    case stats::LineKind::Phase: return Cause::Phase;
    case stats::LineKind::Clock: return Cause::Clock;
    case stats::LineKind::Rows: return Cause::Rows;
    case stats::LineKind::Lamp:
    case stats::LineKind::Onset:
    case stats::LineKind::ScanOut: break;
    }
    return Cause::Other;
}

/// Of u^2, by cause. Scatter of run means is trials as far as those alone give it.
std::array<double, 6> squares(const stats::Comparison& comparison, const stats::MeanBudget& own,
                              const stats::MeanBudget& baseline)
{
    std::array<double, 6> by{};
    const auto add = [&](Cause cause, double square) { by[static_cast<std::size_t>(cause)] += square; };
    for (std::size_t i = 0; i < comparison.lines.size(); ++i) {
        const stats::BudgetLine& line = comparison.lines[i];
        const double square = line.uMs * line.uMs;
        if (line.kind != stats::LineKind::Runs || comparison.pairs) {
            add(causeOf(line.kind), square);
            continue;
        }
        const stats::RunScatter& runs = *(i == 0 ? own : baseline).runScatter; // the sides' lines stand first
        const double trials = std::min(square, runs.trialsMs * runs.trialsMs / runs.units);
        add(Cause::Trials, trials);
        add(Cause::Runs, square - trials);
    }
    return by;
}

/// Runs or blocks that own scatter is over: its lines' degrees of freedom and one, on the side that has fewer.
int runsBehind(std::span<const stats::BudgetLine> lines)
{
    double fewest = std::numeric_limits<int>::max();
    for (const stats::BudgetLine& line : lines)
        if (line.kind == stats::LineKind::Runs)
            fewest = std::min(fewest, line.dof + 1);
    return static_cast<int>(std::lround(fewest));
}

double halfWidth(const stats::Comparison& comparison, double alpha, std::span<const stats::BudgetLine> lines)
{
    const stats::Combined all = stats::combine(lines);
    if (all.uMs == 0)
        return 0;
    const double mayMiss = comparison.ownScatter
                               ? stats::ownRisk(alpha, comparison.comparisons, runsBehind(lines))
                               : stats::SingleRisk(alpha, comparison.comparisons, comparison.rho).at(all.dof);
    return all.uMs * stats::coverageFactor(1 - mayMiss, all.dof);
}

std::vector<stats::BudgetLine> without(std::vector<stats::BudgetLine> lines, stats::LineKind kind)
{
    std::erase_if(lines, [&](const stats::BudgetLine& line) { return line.kind == kind; });
    return lines;
}

/// With 4 more runs on either side, each of as many trials as those so far.
std::vector<stats::BudgetLine> withMoreRuns(const stats::Comparison& comparison, int runs, int baselineRuns)
{
    std::vector<stats::BudgetLine> lines = comparison.lines;
    int side = 0;
    for (stats::BudgetLine& line : lines) {
        if (line.kind != stats::LineKind::Scatter && line.kind != stats::LineKind::Runs
            && line.kind != stats::LineKind::Phase)
            continue;
        const bool phase = line.kind == stats::LineKind::Phase;
        const double have = (phase ? line.weight > 0 : side++ == 0) ? runs : baselineRuns;
        const double grown = (have + moreRuns) / have;
        line.uMs /= std::sqrt(grown);
        if (!phase)
            line.dof = (line.dof + 1) * grown - 1;
    }
    return lines;
}

std::string words(Cause cause, bool driftOut)
{
    switch (cause) {
    case Cause::Trials: return "the scatter of single trials";
    case Cause::Runs: return driftOut ? "what changes from run to run" : "what changes from run to run, drift included";
    case Cause::Phase: return "the phase between camera and display";
    case Cause::Clock: return "the capture rate";
    case Cause::Rows: return "the rows of lamp and screen";
    case Cause::Other: return "what corrections leave uncertain";
    }
    return {};
}

/// "± 2.5 ms", with the decimals that the interval as it is supports.
std::string halfWidthText(const stats::Comparison& comparison, double ms)
{
    return "± " + stats::formatFixed(ms, decimalsBy(comparison.interval->halfWidthMs)) + " ms";
}

} // namespace

std::optional<Narrowing> narrowing(const Results& results, const ConfigurationResult& result)
{
    const ConfigurationResult* baseline = find(results, results.baseline);
    if (!result.comparison || !result.comparison->interval || !baseline)
        return std::nullopt;
    const stats::Comparison& comparison = *result.comparison;
    const double now = comparison.interval->halfWidthMs, alpha = std::min(1 - results.level, stats::highestAlpha);
    const double square = std::pow(comparison.interval->uMs, 2);
    if (square == 0)
        return std::nullopt;
    Narrowing found;
    const std::array<double, 6> by = squares(comparison, result.mean, baseline->mean);
    const auto most = std::ranges::max_element(by);
    found.cause = static_cast<Cause>(most - by.begin());
    found.share = *most / square;

    const int runs = std::max(result.mean.runs, 1), baselineRuns = std::max(baseline->mean.runs, 1);
    found.trialsPerRun = std::max(1, static_cast<int>(std::lround(static_cast<double>(result.n) / runs)));
    found.runs = moreRuns;
    if (result.mean.theseRunsOnly || baseline->mean.theseRunsOnly) {
        found.step = Step::FirstRuns; // whatever else would narrow it speaks of these runs alone
        found.halfWidthMs = now;
        return found;
    }
    found.halfWidthMs = halfWidth(comparison, alpha, withMoreRuns(comparison, runs, baselineRuns));
    for (const auto& [step, kind] :
         {std::pair(Step::Clock, stats::LineKind::Clock), std::pair(Step::Rows, stats::LineKind::Rows)})
        if (const double left = halfWidth(comparison, alpha, without(comparison.lines, kind));
            left < found.halfWidthMs) {
            found.step = step;
            found.halfWidthMs = left;
        }
    return found.halfWidthMs < worthwhile * now ? std::optional(found) : std::nullopt;
}

std::string narrowingReason(const Results& results, const ConfigurationResult& result)
{
    const std::optional<Narrowing> found = narrowing(results, result);
    if (!found)
        return {};
    constexpr double nearlyAll = 0.9;
    return halfWidthText(*result.comparison, result.comparison->interval->halfWidthMs) + " comes "
           + (found->share >= nearlyAll ? "nearly all" : "most of all") + " from "
           + words(found->cause, result.comparison->blocksOut || result.comparison->pairs) + '.';
}

std::string narrowingStep(const Results& results, const ConfigurationResult& result)
{
    const std::optional<Narrowing> found = narrowing(results, result);
    if (!found)
        return {};
    const stats::Comparison& comparison = *result.comparison;
    const std::string now = halfWidthText(comparison, comparison.interval->halfWidthMs);
    const std::string brings =
        " would bring " + now + " to about " + halfWidthText(comparison, found->halfWidthMs) + '.';
    switch (found->step) {
    case Step::FirstRuns:
        return "What changes from run to run isn't in " + now
               + " yet: that takes 4 runs of each, better many short ones than few long ones.";
    case Step::MoreRuns:
        return std::to_string(found->runs) + " more runs of " + counted(found->trialsPerRun, "trial") + " of each"
               + brings;
    case Step::Clock: return "A calibrated capture rate" + brings;
    case Step::Rows: return "Lamp and screen in the same rows" + brings;
    }
    return {};
}

} // namespace analysis
