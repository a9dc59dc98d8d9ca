#include "core/report/in_short.h"
#include "core/analysis/figures.h"
#include "core/analysis/narrowing.h"
#include "core/analysis/phrases.h"
#include "core/report/sentences.h"
#include "core/session/text.h"
#include "core/stats/rounding.h"

#include <cmath>

namespace report {
namespace {

std::string ofMean(const analysis::ConfigurationResult& result)
{
    return plusMinus(*analysis::meanFigure(result)) + " ms";
}

std::string said(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    if (result.n == 0)
        return session::asSentence(noMeanWords(result));
    if (result.baseline)
        return (results.pair ? "The other of the pair: " : "The baseline: ") + ofMean(result) + '.';
    const analysis::ConfigurationResult* baseline = find(results, results.baseline);
    if (!baseline)
        return ofMean(result) + "; no baseline is chosen to compare it with.";
    const stats::Comparison& comparison = *result.comparison;
    if (comparison.verdict == stats::Verdict::NoBaseline)
        return ofMean(result) + "; " + baseline->name + " has no mean to compare it with.";
    const analysis::Figure figure = *analysis::differenceFigure(results, result);
    const auto size = [&](double ms) { return stats::formatFixed(std::abs(ms), figure.decimals); };
    const std::string sure = " with " + analysis::percent(results.level) + " confidence";
    const std::string margin = results.marginMs ? analysis::plain(*results.marginMs) + " ms" : std::string();
    const auto range = [&](double from, double to) { return " (" + size(from) + " to " + size(to) + sure + ")"; };
    const std::string difference = size(*comparison.differenceMs) + " ms";
    switch (comparison.verdict) {
    case stats::Verdict::Longer:
    case stats::Verdict::LongerWithinMargin:
        return "Adds " + difference + range(comparison.interval->low(), comparison.interval->high())
               + (comparison.verdict == stats::Verdict::Longer ? "." : ", less than the " + margin + " that matter.");
    case stats::Verdict::Shorter:
    case stats::Verdict::ShorterWithinMargin:
        return "Takes off " + difference + range(comparison.interval->high(), comparison.interval->low())
               + (comparison.verdict == stats::Verdict::Shorter ? "." : ", less than the " + margin + " that matter.");
    case stats::Verdict::SameWithinMargin: return "The same as " + baseline->name + " to within " + margin + sure + '.';
    case stats::Verdict::NotResolved:
        return "Can't be told apart yet (" + figure.low + " to " + figure.high + " ms" + sure + ").";
    case stats::Verdict::TooFewTrials:
        return "Too few trials to tell: " + std::to_string(result.n) + " here and " + std::to_string(baseline->n)
               + " of " + baseline->name + ", where it takes " + std::to_string(analysis::trialsForVerdict)
               + " of either.";
    case stats::Verdict::NoBaseline: break;
    }
    return {};
}

} // namespace

InShort inShort(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    InShort words{said(results, result), {}};
    if (result.n > 0 && result.planned && result.n < *result.planned)
        words.missing =
            "Interim: " + std::to_string(result.n) + " of " + std::to_string(*result.planned) + " planned trials.";
    analysis::join(words.missing,
                   ofTheseRunsOnly(results, result) ? "Of these runs only: 4 runs of each would speak for others too."
                                                    : analysis::narrowingStep(results, result),
                   " ");
    return words;
}

std::optional<stats::Expanded> innerMarks(const stats::Comparison& comparison)
{
    constexpr double apart = 0.99; // less is no difference to the eye
    const stats::Expanded& same = *comparison.equivalence;
    return same.halfWidthMs < apart * comparison.interval->halfWidthMs ? std::optional(same) : std::nullopt;
}

} // namespace report
