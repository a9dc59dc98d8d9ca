#include "core/analysis/figures.h"
#include "core/report/sentences.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"

#include <cassert>

namespace report {

std::string noMeanWords(const analysis::ConfigurationResult& result)
{
    assert(result.n == 0);
    if (result.trials == 0)
        return "no trials yet";
    if (result.rejected == result.trials)
        return "all rejected";
    if (result.clockNotSettled > 0)
        return "clock not settled";
    if (result.notRead > 0)
        return "not read yet";
    return result.noReaction > 0 ? "no reaction" : "no delay";
}

std::string countsLine(const analysis::ConfigurationResult& result)
{
    return countsOf(result) + (result.baseline ? ", baseline" : "");
}

std::string countsOf(const analysis::ConfigurationResult& result)
{
    std::string line = analysis::counted(result.n, "trial");
    const auto add = [&](int count, const char* what) {
        if (count > 0)
            line += ", " + std::to_string(count) + ' ' + what;
    };
    add(result.rejected, "rejected");
    add(result.noReaction, "no reaction");
    add(result.notRead, "not read");
    add(result.clockNotSettled, "without ms");
    add(result.noDelay, "without delay");
    return line;
}

std::vector<std::string> countsExplanation(const analysis::ConfigurationResult& result)
{
    std::vector<std::string> sentences;
    const std::string planned = result.planned ? " of " + std::to_string(*result.planned) + " planned" : "";
    sentences.push_back(std::to_string(result.n) + planned
                        + (result.n == 1 && planned.empty() ? " trial counts." : " trials count."));
    if (result.rejected > 0) {
        std::vector<std::string> reasons;
        for (const auto& [reason, count] : result.rejects)
            reasons.push_back(std::to_string(count) + (reason == session::RejectReason::FramesLost ? " with " : " ")
                              + session::label(reason));
        sentences.push_back(std::to_string(result.rejected) + " rejected: " + analysis::listed(reasons) + '.');
    }
    if (result.meanWithRejectsMs) {
        const std::optional<analysis::Figure> figure = analysis::meanFigure(result);
        const std::string which = result.rejectedWithDelay == 1
                                      ? "rejected trial that has"
                                      : std::to_string(result.rejectedWithDelay) + " rejected trials that have";
        sentences.push_back("With the " + which + " a delay, the mean of trials would be "
                            + stats::formatFixed(*result.meanWithRejectsMs, figure ? figure->decimals : 1) + " ms.");
    }
    if (result.noReaction > 0)
        sentences.push_back(analysis::counted(result.noReaction, "press", "presses")
                            + " brought no reaction before the limit.");
    if (result.notRead > 0)
        sentences.push_back(analysis::counted(result.notRead, "trial isn't", "trials aren't") + " read yet.");
    for (const analysis::FrameCounts& counts : result.frameCounts)
        sentences.push_back(
            analysis::counted(counts.trials, "trial is", "trials are") + " read without a settled clock: "
            + (counts.least == counts.most ? std::to_string(counts.least)
                                           : std::to_string(counts.least) + " to " + std::to_string(counts.most))
            + " camera frames from press to response.");
    if (result.noDelay > 0)
        sentences.push_back(
            analysis::counted(result.noDelay, "trial has marks that give", "trials have marks that give")
            + " no delay.");
    if (result.open > 0)
        sentences.push_back(analysis::counted(result.open, "trial is", "trials are")
                            + " open: the readings differ and none is chosen, so the first counts.");
    if (result.doubtful > 0)
        sentences.push_back(analysis::counted(result.doubtful, "trial counts", "trials count")
                            + " although the reader wasn't sure of a mark.");
    return sentences;
}

} // namespace report
