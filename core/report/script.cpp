#include "core/analysis/figures.h"
#include "core/report/earlier_session.h"
#include "core/report/own_sentences.h"
#include "core/report/sentences.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace report {
namespace {

std::string noReactionSentence(const analysis::ConfigurationResult& result)
{
    if (result.noReaction == 0)
        return {};
    return " " + analysis::counted(result.noReaction, "press", "presses") + " brought no reaction.";
}

std::string cameraFrames(const analysis::FrameCounts& counts)
{
    if (counts.least == counts.most)
        return analysis::counted(counts.least, "camera frame");
    return std::to_string(counts.least) + " to " + std::to_string(counts.most) + " camera frames";
}

bool isInterim(const analysis::ConfigurationResult& result) { return result.planned && result.n < *result.planned; }

std::string meanSentence(const analysis::ConfigurationResult& result)
{
    const std::optional<analysis::Figure> figure = analysis::meanFigure(result);
    if (!figure) {
        if (result.frameCounts.size() == 1)
            return result.name + ": " + cameraFrames(result.frameCounts.front()) + " from press to response in "
                   + analysis::counted(result.frameCounts.front().trials, "trial")
                   + "; without a settled clock there are no milliseconds.";
        return result.name + ": no figure, " + noMeanWords(result) + ".";
    }
    const std::string start =
        result.name + ": " + (isInterim(result) ? "so far " : "") + figure->value + " milliseconds";
    if (figure->halfWidth.empty())
        return start + " in a single trial.";
    const std::string runs = result.mean.theseRunsOnly ? ", in " + analysis::runsOnly(result.mean.runs) : "";
    return start + " on average, give or take " + figure->halfWidth + runs + '.';
}

std::string meanFigures(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    const std::optional<analysis::Figure> figure = analysis::meanFigure(result);
    std::string figures = countsLine(result);
    if (isInterim(result))
        figures += ", " + std::to_string(*result.planned) + " planned";
    if (figure && !figure->halfWidth.empty())
        figures +=
            "; " + figure->low + " to " + figure->high + " ms, " + analysis::percent(results.level) + " interval";
    return figures;
}

std::string runsOfBoth(const analysis::ConfigurationResult& result, const analysis::ConfigurationResult& baseline)
{
    if (!result.mean.theseRunsOnly && !baseline.mean.theseRunsOnly)
        return {};
    return ", in these runs only";
}

std::string differenceSentence(const analysis::Results& results, const analysis::ConfigurationResult& result,
                               const analysis::ConfigurationResult& baseline)
{
    const stats::Comparison& comparison = *result.comparison;
    const std::string soFar = comparison.interim ? "So far, " : "";
    const std::string than = " than " + baseline.name;
    const std::string margin = results.marginMs ? analysis::milliseconds(*results.marginMs) : "";
    const auto takes = [&](const char* direction) {
        const analysis::Figure figure = *analysis::differenceFigure(results, result);
        return soFar + result.name + " takes " + stats::formatFixed(std::abs(*comparison.differenceMs), figure.decimals)
               + " milliseconds " + direction + than + ", give or take " + figure.halfWidth
               + runsOfBoth(result, baseline);
    };
    const std::string less = ": less than the margin of " + margin + ".";
    switch (comparison.verdict) {
    case stats::Verdict::Longer: return takes("longer") + ".";
    case stats::Verdict::Shorter: return takes("shorter") + ".";
    case stats::Verdict::LongerWithinMargin: return takes("longer") + less;
    case stats::Verdict::ShorterWithinMargin: return takes("shorter") + less;
    case stats::Verdict::SameWithinMargin:
        return soFar + result.name + " is the same as " + baseline.name + " within the margin of " + margin
               + runsOfBoth(result, baseline) + ".";
    case stats::Verdict::NotResolved: {
        const double smallest = *comparison.smallestResolvableMs;
        const std::string power = smallest > 0 ? "; a true difference of "
                                                     + stats::formatFixed(smallest, stats::decimalsFor(smallest))
                                                     + " milliseconds would have shown 4 times out of 5"
                                               : "";
        return soFar + result.name + " against " + baseline.name
               + " is not resolved: these trials can't tell so small a difference" + power + ".";
    }
    case stats::Verdict::NoBaseline:
    case stats::Verdict::TooFewTrials: break;
    }
    if (result.n == 0)
        return result.name + " against " + baseline.name + ": no comparison, " + noMeanWords(result) + " for "
               + result.name + ".";
    if (baseline.n == 0)
        return result.name + " against " + baseline.name + ": no comparison, " + noMeanWords(baseline) + " for "
               + baseline.name + ".";
    return result.name + " against " + baseline.name + ": too few trials for a verdict, " + std::to_string(result.n)
           + " and " + std::to_string(baseline.n) + ".";
}

std::string differenceFigures(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    const std::optional<analysis::Figure> figure = analysis::differenceFigure(results, result);
    if (!figure)
        return {};
    if (figure->halfWidth.empty())
        return figure->value + " ms, no interval";
    return figure->value + " ms, " + figure->low + " to " + figure->high + " ms, "
           + levelWords(results, *result.comparison);
}

/// Where no set-up was measured in both sessions, nothing is said of differences.
void addEarlierSentences(std::vector<ScriptSentence>& sentences, const analysis::Results& results,
                         const analysis::EarlierResults& earlier, const analysis::ConfigurationResult* baseline)
{
    std::vector<ScriptSentence> differences;
    for (const analysis::ConfigurationResult& result : earlier.configurations) {
        analysis::ConfigurationResult named = result;
        named.name = earlierName(earlier, result);
        sentences.push_back({result.configuration, false, meanSentence(named) + noReactionSentence(named),
                             meanFigures(results, named)});
        if (!result.comparison || !result.comparison->interval)
            continue;
        // Runs of the bridge count like those of what is compared.
        for (const session::ConfigurationId bridge : {earlier.here, earlier.there})
            named.mean.theseRunsOnly = named.mean.theseRunsOnly || findAnywhere(results, bridge)->mean.theseRunsOnly;
        differences.push_back({result.configuration, true,
                               differenceSentence(results, named, *baseline) + " This goes by way of "
                                   + find(results, earlier.here)->name + ", measured in both sessions.",
                               differenceFigures(results, named)});
    }
    sentences.insert(sentences.end(), differences.begin(), differences.end());
}

} // namespace

std::vector<ScriptSentence> scriptSentences(const analysis::Results& results)
{
    std::vector<ScriptSentence> sentences;
    for (const analysis::ConfigurationResult& result : results.configurations)
        sentences.push_back({result.configuration, false, meanSentence(result) + noReactionSentence(result),
                             meanFigures(results, result)});
    const analysis::ConfigurationResult* baseline = find(results, results.baseline);
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (baseline && !result.baseline)
            sentences.push_back({result.configuration, true, differenceSentence(results, result, *baseline),
                                 differenceFigures(results, result)});
    for (const analysis::EarlierResults& earlier : results.earlier)
        addEarlierSentences(sentences, results, earlier, baseline);
    return sentences;
}

std::string scriptText(const session::Document& document, const analysis::Results& results)
{
    std::string text;
    const auto add = [&](const std::string& sentence, const std::string& figures) {
        text += sentence + (figures.empty() ? "" : " [" + figures + "]") + '\n';
    };
    for (const ScriptSentence& each : scriptSentences(results))
        add(each.sentence, each.figures);
    for (const OwnSentence& each : ownSentences(document, results))
        if (each.problem.empty())
            add(each.sentence, each.figures);
    return text;
}

} // namespace report
