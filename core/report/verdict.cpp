#include "core/analysis/figures.h"
#include "core/analysis/narrowing.h"
#include "core/report/sentences.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace report {
namespace {

std::string size(const stats::Comparison& comparison, const analysis::Figure& figure)
{
    return stats::formatFixed(std::abs(*comparison.differenceMs), figure.decimals);
}

std::string upperFirst(std::string words)
{
    if (!words.empty() && words.front() >= 'a' && words.front() <= 'z')
        words.front() = static_cast<char>(words.front() - 'a' + 'A');
    return words;
}

/// "the baseline", or in a pair the other one's name.
std::string otherSide(const analysis::Results& results, const analysis::ConfigurationResult& other)
{
    return results.pair ? other.name : std::string("the baseline");
}

std::string intervalSentence(const analysis::Results& results, const analysis::ConfigurationResult& result,
                             const analysis::Figure& figure)
{
    return result.name + " minus " + find(results, results.baseline)->name + ": " + figure.value + " ms, from "
           + figure.low + " to " + figure.high + " (" + levelWords(results, *result.comparison) + ").";
}

std::string verdictSentence(const analysis::Results& results, const stats::Comparison& comparison)
{
    const std::string margin = results.marginMs ? analysis::plain(*results.marginMs) + " ms" : std::string();
    switch (comparison.verdict) {
    case stats::Verdict::Longer: return "All of the interval lies above 0, so the delay is longer.";
    case stats::Verdict::Shorter: return "All of the interval lies below 0, so the delay is shorter.";
    case stats::Verdict::LongerWithinMargin:
        return "All of the interval lies above 0 and below the margin of " + margin
               + ": the delay is longer, by less than matters.";
    case stats::Verdict::ShorterWithinMargin:
        return "All of the interval lies below 0 and within the margin of " + margin
               + ": the delay is shorter, by less than matters.";
    case stats::Verdict::SameWithinMargin: {
        const stats::Expanded& same = *comparison.equivalence;
        const int decimals = analysis::decimalsBy(same.halfWidthMs);
        return "The " + analysis::percent(same.level) + " interval, from " + stats::formatSigned(same.low(), decimals)
               + " to " + stats::formatSigned(same.high(), decimals) + ", lies within the margin of " + margin
               + " either way.";
    }
    case stats::Verdict::NotResolved:
        return results.marginMs ? "The interval holds 0 and isn't within the margin of " + margin
                                      + ": these trials can't tell longer, shorter or the same apart."
                                : "The interval holds 0: these trials can't tell longer, shorter or the same apart.";
    case stats::Verdict::NoBaseline:
    case stats::Verdict::TooFewTrials: break;
    }
    assert(false);
    return {};
}

std::string neededText(const stats::Needed& needed)
{
    return std::to_string(needed.trials) + " trials in at least " + std::to_string(needed.runs)
           + " runs of each configuration";
}

void addEffort(std::vector<std::string>& sentences, const analysis::Results& results,
               const stats::Comparison& comparison)
{
    if (comparison.verdict != stats::Verdict::NotResolved)
        return;
    const double smallest = *comparison.smallestResolvableMs;
    if (smallest > 0)
        sentences.push_back("A true difference of " + stats::formatFixed(smallest, stats::decimalsFor(smallest))
                            + " ms would have shown 4 times out of 5.");
    if (!comparison.effort)
        return;
    const stats::Effort& effort = *comparison.effort;
    const std::string margin = analysis::plain(*results.marginMs) + " ms";
    if (effort.toResolve)
        sentences.push_back("To show a difference as large as the margin of " + margin
                            + " 4 times out of 5 takes about " + neededText(*effort.toResolve) + ".");
    if (effort.toShowSame)
        sentences.push_back("To show 4 times out of 5 that equal delays are the same within it takes about "
                            + neededText(*effort.toShowSame) + ".");
    if (effort.clockLimits)
        sentences.push_back("Errors that all trials share (capture rate, rows) exceed what a margin of " + margin
                            + " allows: more trials won't help, a better known capture rate may.");
    else if (!effort.toResolve || !effort.toShowSame)
        sentences.push_back("Beyond that, no number of trials that anyone could take would do.");
}

} // namespace

bool ofTheseRunsOnly(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    const analysis::ConfigurationResult* baseline = find(results, results.baseline);
    const bool compared = result.comparison && result.comparison->interval;
    return result.n >= 2 && (result.mean.theseRunsOnly || (compared && baseline->mean.theseRunsOnly));
}

std::string pairWords(const stats::Comparison& comparison)
{
    return "This pair is compared by itself at " + analysis::percent(comparison.interval->level)
           + ": it is none of the comparisons with the baseline that hold together. Of many pairs looked at, some "
             "differ "
             "by chance.";
}

std::string togetherWords(const analysis::Results& results)
{
    const bool few = std::ranges::any_of(results.configurations, [&](const analysis::ConfigurationResult& result) {
        return result.comparison && result.comparison->interval && ofTheseRunsOnly(results, result);
    });
    return "hold together at " + analysis::percent(results.level)
           + (few ? ", those of these runs only for these runs alone" : "");
}

std::string levelWords(const analysis::Results& results, const stats::Comparison& comparison)
{
    const int all = comparison.comparisons;
    if (all == 1)
        return analysis::percent(comparison.interval->level) + " interval";
    return (all == 2 ? std::string("both") : "all " + std::to_string(all)) + " comparisons hold together at "
           + analysis::percent(results.level);
}

std::string verdictWords(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    if (result.baseline)
        return results.pair ? "The other of the pair" : "Baseline";
    if (!results.baseline)
        return "No baseline chosen";
    if (result.n == 0)
        return upperFirst(noMeanWords(result));
    if (!result.comparison)
        return "Not compared"; // of an earlier session
    const stats::Comparison& comparison = *result.comparison;
    const std::optional<analysis::Figure> figure = analysis::differenceFigure(results, result);
    switch (comparison.verdict) {
    case stats::Verdict::NoBaseline:
        return results.pair ? find(results, results.baseline)->name + " has no mean" : "Baseline has no mean";
    case stats::Verdict::TooFewTrials: return "Too few trials";
    case stats::Verdict::Longer: return "Longer by " + size(comparison, *figure) + " ms";
    case stats::Verdict::Shorter: return "Shorter by " + size(comparison, *figure) + " ms";
    case stats::Verdict::LongerWithinMargin:
        return "Longer by " + size(comparison, *figure) + " ms, less than the margin";
    case stats::Verdict::ShorterWithinMargin:
        return "Shorter by " + size(comparison, *figure) + " ms, less than the margin";
    case stats::Verdict::SameWithinMargin: return "Same within the margin";
    case stats::Verdict::NotResolved: return "Not resolved";
    }
    assert(false);
    return {};
}

std::vector<std::string> verdictExplanation(const analysis::Results& results,
                                            const analysis::ConfigurationResult& result)
{
    std::vector<std::string> sentences;
    const analysis::ConfigurationResult* baseline = find(results, results.baseline);
    if (result.baseline || !baseline)
        return sentences;
    const stats::Comparison& comparison = *result.comparison;
    const std::string other = otherSide(results, *baseline);
    if (comparison.interval) {
        sentences.push_back(intervalSentence(results, result, *analysis::differenceFigure(results, result)));
        sentences.push_back(verdictSentence(results, comparison));
        for (const std::string& sentence :
             {analysis::narrowingReason(results, result), analysis::narrowingStep(results, result)})
            if (!sentence.empty())
                sentences.push_back(sentence);
        const auto width = [&](double ms) {
            return "± " + stats::formatFixed(ms, analysis::decimalsBy(comparison.interval->halfWidthMs)) + " ms";
        };
        if (comparison.blocksOut)
            sentences.push_back("What moves a whole block of the run sheet is taken out: the difference is known to "
                                + width(comparison.interval->halfWidthMs) + ", with it left in it would be "
                                + width(comparison.apartHalfWidthMs) + '.');
        else if (comparison.pairs)
            sentences.push_back("Each trial shares its press with one of " + other + ": pair by pair the difference is "
                                + "known to " + width(comparison.interval->halfWidthMs) + ", taken apart it would be "
                                + width(comparison.apartHalfWidthMs) + '.');
        else if (comparison.partners > 0)
            sentences.push_back(std::to_string(comparison.partners) + " of " + std::to_string(result.n)
                                + " trials share their press with one of " + other
                                + ": pairs are analysed where each trial that counts has its partner.");
        if (!comparison.pairs && !result.blocksLeftIn.empty())
            sentences.push_back("Drift from block to block isn't taken out: " + result.blocksLeftIn + '.');
        addEffort(sentences, results, comparison);
        if (results.pair)
            sentences.push_back(pairWords(comparison));
    } else {
        sentences.push_back("A verdict needs at least " + std::to_string(analysis::trialsForVerdict)
                            + " trials on either side, of 4 runs or more to speak for other set-ups too; there are "
                            + std::to_string(result.n) + " here and " + std::to_string(baseline->n) + " of " + other
                            + ".");
    }
    if (comparison.interim) {
        const auto planned = [&](const analysis::ConfigurationResult& of) {
            return of.planned.value_or(results.plannedTrials.value_or(0));
        };
        const bool alike = planned(result) == planned(*baseline);
        sentences.push_back("Interim, and not corrected for being looked at before the end: " + std::to_string(result.n)
                            + " here" + (alike ? "" : " of " + std::to_string(planned(result)) + " planned trials")
                            + " and " + std::to_string(baseline->n) + " of " + other + " of "
                            + std::to_string(planned(*baseline))
                            + (alike ? " planned trials each." : " planned ones."));
    }
    if (comparison.interval && ofTheseRunsOnly(results, result))
        sentences.push_back("These runs only: with fewer than 4 runs nothing is said of set-ups not tried.");
    return sentences;
}

} // namespace report
