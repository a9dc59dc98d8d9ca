#include "ui/publish/publish.h"
#include "core/error.h"
#include "core/report/budget_table.h"
#include "core/report/chart_model.h"
#include "core/report/method_note.h"
#include "core/report/agreement_words.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_painter.h"

namespace ui {
namespace {

std::vector<report::Product> products(const session::Document& document, const analysis::Results& results,
                                      const std::string& programVersion)
{
    const ChartScene chart = layOutChart(report::chartModel(document, results), document.settings.publish.theme);
    const auto bytes = [](const std::string& text) { return QByteArray::fromStdString(text); };
    return {
        {"comparison-chart.png", chartPng(chart)},
        {"comparison-chart.svg", chartSvg(chart)},
        {"results.csv", bytes(report::resultsCsv(document, results))},
        {"uncertainty.csv", bytes(report::budgetCsv(results))},
        {"trials.csv", bytes(report::trialsCsv(document, results))},
        {"agreement.csv", bytes(report::agreementCsv(analysis::readingAgreement(document, results)))},
        {"sentences.txt", bytes(report::scriptText(results))},
        {"method-note.txt", bytes(report::methodNote(document, results, programVersion))},
    };
}

} // namespace

report::PublishedFolder::Written publish(const session::Document& document, const PublishInto& into,
                                         const std::string& programVersion, const PublishRun& run)
{
    const auto results =
        run.results ? run.results : std::make_shared<const analysis::Results>(analysis::compute(document));
    std::vector<report::Product> made = products(document, *results, programVersion);
    made.insert(made.end(), run.further.begin(), run.further.end());
    try {
        return report::PublishedFolder(into.folder, into.session)
            .write(made, into.replaceForeign, run.stop, run.progress);
    } catch (const core::Error& error) {
        if (error.kind() == core::ErrorKind::Refused)
            throw;
        throw core::Error(error.kind(),
                          std::string("Nothing was published, files published earlier stay. ") + error.what());
    }
}

} // namespace ui
