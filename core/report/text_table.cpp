#include "core/report/correction_words.h"
#include "core/analysis/figures.h"
#include "core/report/agreement_words.h"
#include "core/report/earlier_session.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "core/analysis/phrases.h"
#include "core/session/text.h"
#include "core/stats/rounding.h"

#include <algorithm>

namespace report {
namespace {

using Row = std::vector<std::string>;

std::size_t width(const std::string& text) { return session::charactersIn(text).value_or(text.size()); }

std::string statistic(const std::optional<double>& value, int decimals)
{
    return value ? stats::formatFixed(*value, decimals) : std::string();
}

/// Cells where there is no mean say why in the mean's place.
Row rowOf(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    const std::optional<analysis::Figure> mean = analysis::meanFigure(result);
    const std::optional<analysis::Figure> difference = analysis::differenceFigure(results, result);
    const int decimals = mean ? mean->decimals : 0;
    const stats::Summary& summary = result.summary;
    std::string verdict = verdictWords(results, result);
    const bool interim = result.comparison && result.comparison->interim && result.n > 0;
    const bool few = ofTheseRunsOnly(results, result);
    if (interim || few)
        verdict += std::string(" (") + (interim ? "interim" : "") + (interim && few ? ", " : "")
                   + (few ? "these runs only" : "") + ')';
    return {result.name,
            std::to_string(result.n),
            result.rejected > 0 ? std::to_string(result.rejected) : "",
            mean ? analysis::plusMinus(*mean) : noMeanWords(result),
            statistic(summary.median, decimals),
            statistic(summary.sd, decimals),
            summary.min ? statistic(summary.min, decimals) + " to " + statistic(summary.max, decimals) : "",
            difference ? difference->value : "",
            difference && !difference->halfWidth.empty() ? difference->low + " to " + difference->high : "",
            verdict};
}

std::string aligned(const std::vector<Row>& rows)
{
    std::vector<std::size_t> widths(rows.front().size());
    for (const Row& row : rows)
        for (std::size_t c = 0; c < row.size(); ++c)
            widths[c] = std::max(widths[c], width(row[c]));
    std::string text;
    for (const Row& row : rows) {
        std::string line;
        for (std::size_t c = 0; c < row.size(); ++c) {
            const std::string padding(widths[c] - width(row[c]), ' ');
            const bool words = c == 0 || c + 1 == row.size();
            line += (c == 0 ? "" : "  ") + (words ? row[c] + padding : padding + row[c]);
        }
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + '\n';
    }
    return text;
}

} // namespace

std::string resultsText(const session::Document& document, const analysis::Results& results)
{
    std::string text;
    if (!document.settings.title.empty())
        text += analysis::oneLine(document.settings.title) + "\n\n";
    if (results.configurations.empty()) {
        text += "There are no configurations yet.\n";
    } else {
        std::vector<Row> rows{{"Configuration", "Trials", "Rejected", "Mean ± " + analysis::percent(results.level),
                               "Median", "SD", "Min to max", "Difference", "Interval", "Verdict"}};
        for (const analysis::ConfigurationResult& result : results.configurations)
            rows.push_back(rowOf(results, result));
        text += aligned(rows);
        text += "\nTimes in ms, rounded as their uncertainty supports.";
        if (results.comparisons > 1)
            text += " All " + std::to_string(results.comparisons) + " comparisons " + togetherWords(results) + ".";
        if (results.marginMs)
            text += " Margin " + analysis::plain(*results.marginMs) + " ms.";
        text += '\n';
    }
    for (const analysis::EarlierResults& earlier : results.earlier) {
        std::vector<Row> rows;
        for (const analysis::ConfigurationResult& result : earlier.configurations) {
            rows.push_back(rowOf(results, result));
            if (result.configuration == earlier.there)
                rows.back().back() = "Measured in both";
        }
        text += "\nEarlier: " + earlierMethod(*find(document, earlier.session)) + "\n" + aligned(rows)
                + bridgeSentence(results, earlier) + '\n';
    }
    if (results.pair) {
        text += '\n';
        for (const std::string& sentence : verdictExplanation(results, results.configurations.front()))
            text += sentence + '\n';
    }
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (result.noReaction + result.clockNotSettled + result.notRead + result.noDelay > 0)
            text += result.name + ": " + (results.pair ? countsOf(result) : countsLine(result)) + ".\n";
    if (std::ranges::any_of(results.configurations,
                            [](const analysis::ConfigurationResult& result) { return result.n > 0; })) {
        text += "\nCorrections:\n";
        for (const std::string& sentence : correctionSentences(document, results))
            text += "  " + sentence + '\n';
    }
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (result.n > 0) {
            text += "\nChecks of " + result.name + ", none of which decides:\n";
            for (const std::string& sentence : checkSentences(document, results, result))
                text += "  " + sentence + '\n';
        }
    if (const analysis::ReadingAgreement agreement = analysis::readingAgreement(document, results);
        agreement.readAgain > 0 || !agreement.toSettle.empty()) {
        text += "\nReadings:\n";
        for (const std::string& sentence : agreementSentences(document, results))
            text += "  " + sentence + '\n';
    }
    if (!results.warnings.empty())
        text += '\n';
    for (const std::string& warning : results.warnings)
        text += "Note: " + analysis::oneLine(warning) + '\n';
    return text;
}

} // namespace report
