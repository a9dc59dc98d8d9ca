#include "core/analysis/figures.h"
#include "core/report/sentences.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"
#include "core/stats/trend.h"

#include <algorithm>
#include <cmath>

namespace report {
namespace {

using Sentences = std::vector<std::string>;

constexpr std::size_t mostNamed = 5;                                   ///< trials named in one sentence
constexpr const char* independent = ", as if trials were independent"; ///< of the run they are of
constexpr int fewTrials = 10;                                          ///< below it intervals hang on one trial or two

std::string chance(double p)
{
    if (p < 0.001)
        return "p below 0.001";
    return "p = " + stats::formatFixed(p, p < 0.1 ? 3 : 2);
}

std::string range(double low, double high, int decimals, bool signs)
{
    return signs ? stats::formatSigned(low, decimals) + " to " + stats::formatSigned(high, decimals)
                 : stats::formatFixed(low, decimals) + " to " + stats::formatFixed(high, decimals);
}

/// "2.0 refresh intervals": as many digits as half the interval's width supports.
std::string inUnits(const analysis::ConfigurationResult& result, double units, const std::string& name)
{
    const stats::MeanOnBasis& mean = *result.mean.shown();
    const double share =
        mean.interval && mean.estimateMs != 0 ? std::abs(units * mean.interval->halfWidthMs / mean.estimateMs) : 0.1;
    return stats::formatFixed(units, analysis::decimalsBy(share)) + ' ' + name;
}

std::string meanOn(const stats::MeanOnBasis& mean, int decimals)
{
    return stats::formatFixed(mean.estimateMs, decimals) + " ± "
           + stats::formatFixed(mean.interval->halfWidthMs, decimals) + " ms";
}

/// Both analyses where there are runs enough for the second.
void addBases(Sentences& sentences, const analysis::ConfigurationResult& result, int decimals)
{
    const stats::MeanBudget& mean = result.mean;
    if (mean.overRuns && mean.overTrials->interval && mean.overRuns->interval)
        sentences.push_back("Judged by its trials the mean is " + meanOn(*mean.overTrials, decimals) + ", by its "
                            + std::to_string(mean.runs) + " runs " + meanOn(*mean.overRuns, decimals)
                            + "; the wider one is shown.");
}

/// Whether runs differ by more than their trials explain.
void addRunScatter(Sentences& sentences, const analysis::ConfigurationResult& result)
{
    if (!result.mean.runScatter)
        return;
    const stats::RunScatter& runs = *result.mean.runScatter;
    const auto ms = [](double sd) { return stats::formatFixed(sd, analysis::decimalsBy(sd)) + " ms"; };
    constexpr double farApart = 2; // its square is rare with 4 runs that don't differ: the 1 % point of F is 3.8 to 4.5
    sentences.push_back(
        "Run means scatter by " + ms(runs.sdMs) + " (SD), where trials alone would give " + ms(runs.trialsMs) + ": "
        + (runs.sdMs > farApart * runs.trialsMs
               ? "something changes from run to run."
               : "that runs differ besides can't be excluded with " + std::to_string(runs.units) + " runs."));
}

/// Where blocks are taken out: what each run leaves, against the order of blocks.
void addLeftByBlock(Sentences& sentences, const analysis::ConfigurationResult& result)
{
    const std::vector<double>& left = result.checks.leftByBlockMs;
    if (left.empty())
        return;
    double most = 0;
    for (const double each : left)
        most = std::max(most, std::abs(each));
    const int decimals = most > 0 ? analysis::decimalsBy(most) : 0;
    std::string sentence = "Beside its mean and what moved whole blocks its runs leave ";
    constexpr std::size_t mostListed = 12, fewestForTrend = 5; // 4 in any order are no rarer than 1 in 12
    if (left.size() <= mostListed) {
        std::vector<std::string> each;
        for (const double one : left)
            each.push_back(stats::formatSigned(one, decimals));
        sentence += analysis::listed(each) + " ms, block by block";
    } else
        sentence += "up to " + stats::formatFixed(most, decimals) + " ms in " + std::to_string(left.size()) + " blocks";
    if (left.size() < fewestForTrend)
        sentence += ": too few to tell a trend";
    else {
        const stats::Trend trend = stats::trend(left);
        sentence += trend.p >= analysis::trendChance
                        ? ": no trend shows (" + chance(trend.p) + "); so few blocks could hide one"
                        : std::string(": they ") + (trend.s > 0 ? "rise" : "fall") + " (" + chance(trend.p)
                              + "), so that this set-up may drift apart from the others";
    }
    sentences.push_back(sentence + '.');
}

void addUnits(Sentences& sentences, const analysis::ConfigurationResult& result, const analysis::Figure& figure)
{
    std::vector<std::string> units;
    if (result.checks.refreshIntervals)
        units.push_back(inUnits(result, *result.checks.refreshIntervals, "refresh intervals"));
    if (result.checks.gameFrames)
        units.push_back(inUnits(result, *result.checks.gameFrames, "game frames"));
    if (!units.empty())
        sentences.push_back("The mean of " + figure.value + " ms is " + analysis::listed(units) + ".");
}

void addMedian(Sentences& sentences, const analysis::Results& results, const analysis::ConfigurationResult& result,
               int decimals)
{
    std::string sentence = "Median " + stats::formatFixed(*result.summary.median, decimals) + " ms, ";
    sentence += result.median ? "from " + range(result.median->low, result.median->high, decimals, false) + " ("
                                    + analysis::percent(results.level)
                                    + " interval by order, whatever the distribution if trials are independent)"
                              : "too few trials for a " + analysis::percent(results.level) + " interval by order";
    sentences.push_back(sentence + "; half of the trials lie within "
                        + stats::formatFixed(*result.checks.madMs, decimals) + " ms of it.");
}

void addApart(Sentences& sentences, const session::Document& document, const analysis::ConfigurationResult& result)
{
    const std::vector<analysis::Apart>& apart = result.checks.apart;
    if (apart.empty())
        return;
    std::vector<std::string> names;
    for (const analysis::Apart& each : apart) {
        if (names.size() == mostNamed) {
            names.push_back(std::to_string(apart.size() - mostNamed) + " more");
            break;
        }
        names.push_back(analysis::oneLine(session::trialName(document, each.trial)) + " with "
                        + stats::formatFixed(each.delayMs, 1) + " ms" + (each.far ? " (far out)" : ""));
    }
    sentences.push_back(analysis::counted(static_cast<std::int64_t>(apart.size()), "trial stands", "trials stand")
                        + " apart and " + (apart.size() == 1 ? "stays" : "stay") + " in: " + analysis::listed(names)
                        + ".");
}

void addTrend(Sentences& sentences, const std::optional<stats::Trend>& trend, const std::string& over,
              const std::string& each)
{
    if (!trend)
        return;
    const std::string asIf = each == "trial" ? independent : "";
    if (trend->p >= analysis::trendChance) {
        sentences.push_back("No trend shows over the " + over + " (" + chance(trend->p) + asIf + "); so few " + over
                            + " could hide one.");
        return;
    }
    const double slope = std::abs(trend->slope);
    sentences.push_back("Delays " + std::string(trend->s > 0 ? "rise" : "fall") + " over the " + over + ", by about "
                        + (slope > 0 ? stats::formatFixed(slope, analysis::decimalsBy(slope)) : std::string("0"))
                        + " ms a " + each + " (" + chance(trend->p) + asIf + "): something may have drifted.");
}

void addGroups(Sentences& sentences, const analysis::ConfigurationResult& result, int decimals)
{
    if (const auto& groups = result.checks.groups)
        sentences.push_back("The trials fall into two groups: " + std::to_string(groups->low) + " around "
                            + stats::formatFixed(groups->lowMean, decimals) + " ms, " + std::to_string(groups->high)
                            + " around " + stats::formatFixed(groups->highMean, decimals) + " ms.");
    if (result.checks.bunching)
        sentences.push_back(
            "The trials bunch at multiples of the refresh interval (" + chance(result.checks.bunching->p)
            + "): presses may keep step with the display, so that they don't sample every input phase.");
}

void addRanks(Sentences& sentences, const analysis::Results& results, const analysis::ConfigurationResult& result,
              int decimals)
{
    if (const auto& ranks = result.checks.ranks) {
        std::string sentence = "By ranks alone the shift from "
                               + (results.pair ? find(results, results.baseline)->name : std::string("the baseline"))
                               + " is " + stats::formatSigned(ranks->shift, decimals) + " ms";
        if (ranks->low)
            sentence += ", from " + range(*ranks->low, *ranks->high, decimals, true) + " ("
                        + analysis::percent(ranks->level) + ")";
        sentence += ", " + chance(ranks->p) + independent + ".";
        const bool byMean = result.comparison->interval->low() > 0 || result.comparison->interval->high() < 0;
        const bool byRanks = ranks->p < 1 - ranks->level;
        if (byRanks && !byMean)
            sentence += " Ranks alone tell a difference, the full uncertainty doesn't; the verdict goes by the latter.";
        else if (byMean && !byRanks)
            sentence += " Ranks alone tell no difference, the means do: look at the single trials.";
        sentences.push_back(sentence);
    }
    if (const auto& blocks = result.checks.blocks)
        sentences.push_back("In " + std::to_string(blocks->differencesMs.size())
                            + " blocks that took turns the mean difference is "
                            + stats::formatSigned(blocks->mean.estimateMs, decimals) + " ms, from "
                            + range(blocks->mean.low(), blocks->mean.high(), decimals, true) + " ("
                            + analysis::percent(blocks->mean.level) + ", scatter of blocks alone).");
}

} // namespace

std::vector<std::string> checkSentences(const session::Document& document, const analysis::Results& results,
                                        const analysis::ConfigurationResult& result)
{
    Sentences sentences;
    const std::optional<analysis::Figure> figure = analysis::meanFigure(result);
    if (!figure)
        return sentences;
    addBases(sentences, result, figure->decimals);
    addRunScatter(sentences, result);
    addLeftByBlock(sentences, result);
    addUnits(sentences, result, *figure);
    addMedian(sentences, results, result, figure->decimals);
    addApart(sentences, document, result);
    addTrend(sentences, result.checks.overTrials, "trials", "trial");
    addTrend(sentences, result.checks.overRuns, "runs", "run");
    if (!result.checks.overTrials && result.n >= fewTrials)
        sentences.push_back("No trend is worked out for this many trials.");
    addGroups(sentences, result, figure->decimals);
    addRanks(sentences, results, result, figure->decimals);
    if (result.n < fewTrials)
        sentences.push_back("Fewer than " + std::to_string(fewTrials) + " trials, in "
                            + (result.mean.runs == 0 ? "unknown runs" : analysis::counted(result.mean.runs, "run"))
                            + ": where delays are skewed or in groups, the interval may miss the truth more"
                              " often than it says.");
    return sentences;
}

} // namespace report
