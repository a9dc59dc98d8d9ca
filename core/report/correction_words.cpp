#include "core/report/correction_words.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace report {
namespace {

using Sentences = std::vector<std::string>;

constexpr int usualDecimals = 2; ///< hundredths of a ms: below what any camera counts
const char* const plusMinusSign = "\u00b1";

struct Range {
    double least = 0, most = 0;
    void add(double value)
    {
        least = std::min(least, value);
        most = std::max(most, value);
    }
};

int decimalsOf(const timing::Correction& correction)
{
    const double halfWidth = correction.halfWidth.count();
    return halfWidth > 0 ? std::clamp(stats::decimalsFor(halfWidth), usualDecimals, 4) : usualDecimals;
}

std::string microseconds(double seconds, double uncertainty)
{
    const double value = seconds * 1e6, u = uncertainty * 1e6;
    if (!(u > 0))
        return analysis::plain(value) + " µs, taken as exact";
    const stats::Rounded rounded = stats::roundTo(value, u);
    return rounded.value + " µs with a standard uncertainty of " + rounded.uncertainty + " µs";
}

std::string readoutSentence(const session::Clock& clock, const Range& rows)
{
    const std::string name = "Rolling shutter of " + analysis::oneLine(clock.name) + ": ";
    const session::Readout& readout = clock.readout;
    switch (readout.kind) {
    case session::ReadoutKind::AllAtOnce: return name + "none, all rows are exposed at once.";
    case session::ReadoutKind::Unknown:
        return name
               + "line time not known, nothing is added; a line time anywhere from -1/height to +1/height of the "
                 "capture interval is in the uncertainty.";
    case session::ReadoutKind::LineTime: break;
    }
    const std::string known = "line time " + microseconds(readout.lineTimeSeconds, readout.uncertaintySeconds)
                              + (readout.note.empty() ? "" : " (" + analysis::oneLine(readout.note) + ")");
    if (readout.direction == session::ReadoutDirection::Unknown)
        return name + known
               + ", direction of readout not known, so nothing is added; either sign is in the uncertainty.";
    return name + known + ", "
           + (readout.direction == session::ReadoutDirection::FirstRowFirst ? "first row first" : "last row first")
           + "; by the rows of lamp and screen region delays are corrected by "
           + (rows.least == rows.most ? stats::formatSigned(rows.least, usualDecimals)
                                      : stats::formatSigned(rows.least, usualDecimals) + " to "
                                            + stats::formatSigned(rows.most, usualDecimals))
           + " ms.";
}

void addReadouts(Sentences& sentences, const session::Document& document, const analysis::Results& results)
{
    std::map<session::ClockId, Range> used;
    for (const analysis::TrialOutcome& outcome : thatCount(results.trials)) {
        const double rows = outcome.corrections.rows.add.count();
        used.try_emplace(outcome.clock, Range{rows, rows}).first->second.add(rows);
    }
    for (const auto& [id, rows] : used)
        sentences.push_back(readoutSentence(*find(document, id), rows));
}

void addScanOut(Sentences& sentences, const session::Document& document, const analysis::Results& results)
{
    const session::EventDefinition& event = document.settings.event;
    if (!event.commonHeight) {
        sentences.push_back("Scan-out: not corrected; each reaction counts where it stands on its display.");
        return;
    }
    std::vector<std::string> shifts;
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (const auto effect = analysis::scanOutEffect(document, result.configuration))
            shifts.push_back(result.name + ' ' + stats::formatSigned(effect->correction.add.count(), usualDecimals)
                             + " ms");
    sentences.push_back("Scan-out: delays are given as for a reaction at height " + analysis::plain(*event.commonHeight)
                        + " of the display's picture (0 top, 1 bottom)"
                        + (shifts.empty()
                               ? ", but no configuration has a height and a measured refresh, so nothing is added."
                               : ": " + analysis::listed(shifts) + ", uncertain by " + plusMinusSign
                                     + analysis::percent(event.scanOutTolerance)
                                     + " of that (blanking, variable refresh) and by the refresh."));
}

std::string early(double leadMs)
{
    return analysis::plain(std::abs(leadMs))
           + (leadMs > 0 ? " ms too early, which is taken off each delay"
                         : " ms too late, which is added to each delay");
}

} // namespace

std::vector<std::string> correctionSentences(const session::Document& document, const analysis::Results& results)
{
    Sentences sentences;
    addReadouts(sentences, document, results);
    addScanOut(sentences, document, results);
    const session::EventDefinition& event = document.settings.event;
    const auto within = [](double widthMs) {
        return std::string(plusMinusSign) + analysis::plain(widthMs / 2) + " ms";
    };
    if (event.lampLeadMs != 0 || event.lampLeadWidthMs > 0)
        sentences.push_back("Lamp: "
                            + (event.lampLeadMs != 0 ? "it shows the press " + early(event.lampLeadMs)
                                                     : std::string("its lead isn't corrected"))
                            + (event.lampLeadWidthMs > 0
                                   ? "; the lead is known within " + within(event.lampLeadWidthMs) + "."
                                   : "; the lead is taken as exact."));
    if (event.onsetWidthMs > 0)
        sentences.push_back("Onset rule: leaves every delay uncertain within " + within(event.onsetWidthMs)
                            + ", nothing is added.");
    return sentences;
}

std::string correctionWords(const analysis::Corrections& corrections)
{
    std::string words;
    const auto add = [&](const char* cause, const timing::Correction& correction) {
        if (correction == timing::Correction{})
            return;
        const int decimals = decimalsOf(correction);
        const std::string value = stats::formatSigned(correction.add.count(), decimals);
        analysis::join(words, cause + std::string(" ") + (correction.add.count() != 0 ? value : std::string("0"))
                                  + (correction.halfWidth.count() > 0
                                         ? ' ' + std::string(plusMinusSign) + ' '
                                               + stats::formatFixed(correction.halfWidth.count(), decimals)
                                         : std::string()));
    };
    add("rows", corrections.rows);
    add("scan-out", corrections.scanOut);
    add("lamp", corrections.lampLead);
    add("onset", corrections.onset);
    return words.empty() ? words : words + " ms";
}

std::string meanCorrection(const analysis::Results& results, session::ConfigurationId configuration)
{
    analysis::Corrections mean;
    int trials = 0;
    for (const analysis::TrialOutcome& outcome : thatCount(results.trials))
        if (outcome.configuration == configuration) {
            mean.rows = mean.rows + outcome.corrections.rows;
            mean.scanOut = mean.scanOut + outcome.corrections.scanOut;
            mean.lampLead = mean.lampLead + outcome.corrections.lampLead;
            mean.onset = mean.onset + outcome.corrections.onset;
            ++trials;
        }
    for (timing::Correction* each : {&mean.rows, &mean.scanOut, &mean.lampLead, &mean.onset})
        if (trials > 0)
            *each = {each->add / trials, each->halfWidth / trials};
    return correctionWords(mean);
}

std::string correctionFooter(const session::Document& document, const analysis::Results& results)
{
    const session::EventDefinition& event = document.settings.event;
    const bool rows = std::ranges::any_of(thatCount(results.trials), [](const analysis::TrialOutcome& outcome) {
        return outcome.corrections.rows.add.count() != 0;
    });
    const bool scanOut = std::ranges::any_of(results.configurations, [&](const analysis::ConfigurationResult& result) {
        return result.n > 0 && analysis::scanOutEffect(document, result.configuration).has_value();
    });
    std::vector<std::string> causes;
    if (rows)
        causes.push_back("rolling shutter");
    if (event.lampLeadMs != 0)
        causes.push_back("the lamp's lead");
    std::string line = causes.empty() ? std::string() : "Corrected for " + analysis::listed(causes) + ".";
    if (scanOut)
        analysis::join(line,
                       "Delays as for a reaction at height " + analysis::plain(*event.commonHeight)
                           + " of the display (0 top, 1 bottom).",
                       " ");
    return line;
}

} // namespace report
