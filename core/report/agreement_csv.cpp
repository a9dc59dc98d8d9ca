#include "core/report/csv.h"
#include "core/report/agreement_words.h"

namespace report {
namespace {

void addRow(Csv& csv, const std::string& first, const std::string& second, const char* what, int blind,
            const stats::Agreement& agreement)
{
    csv.text(first)
        .text(second)
        .text(what)
        .whole(agreement.n)
        .whole(blind)
        .whole(agreement.equal)
        .whole(agreement.withinOne)
        .number(agreement.bias);
    if (const auto& spread = agreement.spread)
        csv.number(spread->biasLow)
            .number(spread->biasHigh)
            .number(spread->sd)
            .number(spread->limitLow)
            .number(spread->limitHigh);
    else
        csv.empty().empty().empty().empty().empty();
    csv.number(agreement.readingSd).number(stats::repeatability(agreement));
    csv.endRow();
}

} // namespace

std::string agreementCsv(const analysis::ReadingAgreement& agreement)
{
    Csv csv;
    for (const char* name :
         {"first_reader", "second_reader", "what", "trials", "blind", "equal", "within_one_camera_frame", "bias",
          "bias_low", "bias_high", "sd_of_differences", "limit_low", "limit_high", "reading_sd", "repeatability"})
        csv.text(name);
    csv.endRow();
    for (const analysis::ReaderPair& pair : agreement.pairs) {
        addRow(csv, pair.first, pair.second, "count", pair.blind, pair.count);
        addRow(csv, pair.first, pair.second, "press", pair.blind, pair.press);
        addRow(csv, pair.first, pair.second, "response", pair.blind, pair.response);
    }
    return csv.str();
}

} // namespace report
