#include "core/report/csv.h"
#include "core/report/agreement_words.h"

namespace report {
namespace {

struct AgreementRow {
    const analysis::ReaderPair& pair;
    const char* what;
    const stats::Agreement& agreement;
};

constexpr csv::Column<AgreementRow> agreementColumns[] = {
    {"first_reader", [](auto& r) { return csv::text(r.pair.first); }},
    {"second_reader", [](auto& r) { return csv::text(r.pair.second); }},
    {"what", [](auto& r) { return csv::text(r.what); }},
    {"trials", [](auto& r) { return csv::whole(r.agreement.n); }},
    {"blind", [](auto& r) { return csv::whole(r.pair.blind); }},
    {"equal", [](auto& r) { return csv::whole(r.agreement.equal); }},
    {"within_one_camera_frame", [](auto& r) { return csv::whole(r.agreement.withinOne); }},
    {"bias", [](auto& r) { return csv::number(r.agreement.bias); }},
    {"bias_low", [](auto& r) { return csv::number(r.agreement.spread, &stats::Agreement::Spread::biasLow); }},
    {"bias_high", [](auto& r) { return csv::number(r.agreement.spread, &stats::Agreement::Spread::biasHigh); }},
    {"sd_of_differences", [](auto& r) { return csv::number(r.agreement.spread, &stats::Agreement::Spread::sd); }},
    {"limit_low", [](auto& r) { return csv::number(r.agreement.spread, &stats::Agreement::Spread::limitLow); }},
    {"limit_high", [](auto& r) { return csv::number(r.agreement.spread, &stats::Agreement::Spread::limitHigh); }},
    {"reading_sd", [](auto& r) { return csv::number(r.agreement.readingSd); }},
    {"repeatability", [](auto& r) { return csv::number(stats::repeatability(r.agreement)); }},
};

} // namespace

std::string agreementCsv(const analysis::ReadingAgreement& agreement)
{
    std::vector<AgreementRow> rows;
    for (const analysis::ReaderPair& pair : agreement.pairs) {
        rows.push_back({pair, "count", pair.count});
        rows.push_back({pair, "press", pair.press});
        rows.push_back({pair, "response", pair.response});
    }
    return csv::table(agreementColumns, rows);
}

} // namespace report
