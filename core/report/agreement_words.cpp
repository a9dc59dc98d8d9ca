#include "core/analysis/figures.h"
#include "core/report/agreement_words.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"

#include <cmath>

namespace report {
namespace {

constexpr int pairsForLimits = 5;      // as trials for a verdict: our choice
constexpr std::size_t trialsNamed = 6; // the rest are only counted

std::string shares(const stats::Agreement& count)
{
    return std::to_string(count.equal) + " with the same count, " + std::to_string(count.withinOne)
           + " within one camera frame";
}

/// "+0.4 (+0.1 to +0.7)", or the value alone where every difference is the same.
std::string bias(const stats::Agreement& agreement)
{
    const stats::Agreement::Spread& spread = *agreement.spread;
    const int decimals = spread.sd > 0 ? stats::decimalsFor(spread.biasU) : 0;
    const std::string value = stats::formatSigned(agreement.bias, decimals);
    if (spread.sd <= 0)
        return value + " each time";
    return value + " (" + stats::formatSigned(spread.biasLow, decimals) + " to "
           + stats::formatSigned(spread.biasHigh, decimals) + ")";
}

std::string pairSentence(const analysis::ReaderPair& pair, double level)
{
    const bool again = pair.first == pair.second;
    const stats::Agreement& count = pair.count;
    std::string text = (again ? pair.first + ", own readings" : pair.first + " and " + pair.second) + ": "
                       + analysis::counted(count.n, "trial") + ", " + std::to_string(pair.blind) + " blind; "
                       + shares(count);
    if (count.n < pairsForLimits)
        return text + "; fewer than " + std::to_string(pairsForLimits) + " tell no more.";
    text += "; " + (again ? std::string("second less first") : pair.second + " less " + pair.first)
            + ", camera frames at " + analysis::percent(level) + ": count " + bias(count) + ", press "
            + bias(pair.press) + ", response " + bias(pair.response);
    if (count.spread->sd > 0) {
        const int decimals = stats::decimalsFor(count.spread->limitU);
        text += "; limits of agreement " + stats::formatSigned(count.spread->limitLow, decimals) + " to "
                + stats::formatSigned(count.spread->limitHigh, decimals);
        if (again)
            text += "; repeatability " + stats::formatFixed(stats::repeatability(count), decimals);
    }
    return text + '.';
}

std::string scatterSentence(const analysis::ReadingAgreement& agreement)
{
    const double sd = agreement.readingSdMs;
    if (sd <= 0)
        return "Reading adds no scatter that " + analysis::counted(agreement.inMs, "trial") + " read again could show.";
    const int decimals =
        stats::decimalsFor(sd); // an SD of few pairs is good to less than two digits; no more are shown
    std::string text = "One reading scatters by " + stats::formatFixed(sd, decimals) + " ms (SD, from "
                       + analysis::counted(agreement.inMs, "trial") + " read again)";
    if (agreement.trialSdMs && *agreement.trialSdMs > 0)
        text += ", " + std::to_string(std::llround(100 * std::pow(sd / *agreement.trialSdMs, 2)))
                + " % of the variance of trials, whose SD of " + stats::formatFixed(*agreement.trialSdMs, decimals)
                + " ms holds it already";
    return text + '.';
}

} // namespace

std::vector<std::string> agreementSentences(const session::Document& document, const analysis::Results& results)
{
    const analysis::ReadingAgreement agreement = analysis::readingAgreement(document, results);
    std::vector<std::string> sentences;
    if (agreement.readAgain == 0)
        sentences.push_back("No trial was read a second time.");
    else
        sentences.push_back(analysis::counted(agreement.readAgain, "trial was", "trials were") + " read a second time, "
                            + std::to_string(agreement.readAgainBlind) + " of them blind: " + shares(agreement.first)
                            + '.');
    for (const analysis::ReaderPair& pair : agreement.pairs)
        sentences.push_back(pairSentence(pair, results.level));
    if (agreement.reactionDiffers > 0)
        sentences.push_back("In " + analysis::counted(agreement.reactionDiffers, "trial")
                            + " one reading sees a reaction and another none.");
    if (agreement.inMs >= pairsForLimits)
        sentences.push_back(scatterSentence(agreement));
    if (!agreement.toSettle.empty()) {
        std::vector<std::string> named;
        for (const analysis::ToSettle& trial : agreement.toSettle) {
            if (named.size() == trialsNamed) {
                named.push_back(std::to_string(agreement.toSettle.size() - trialsNamed) + " more");
                break;
            }
            named.push_back(analysis::oneLine(session::trialName(document, trial.trial)) + " (" + trial.why + ')');
        }
        sentences.push_back("To settle by looking again: " + analysis::listed(named) + '.');
    }
    return sentences;
}

} // namespace report
