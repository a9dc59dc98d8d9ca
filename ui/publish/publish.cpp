#include "ui/publish/publish.h"
#include "core/error.h"
#include "core/report/budget_table.h"
#include "core/report/chart_model.h"
#include "core/report/method_note.h"
#include "core/report/agreement_words.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "core/session/durable_file.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_painter.h"

namespace ui {
namespace {

struct Product {
    const char* name;
    QByteArray bytes;
};

std::vector<Product> products(const session::Document& document, const std::string& programVersion)
{
    const analysis::Results results = analysis::compute(document);
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

void makeFolder(const std::filesystem::path& folder)
{
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error || !std::filesystem::is_directory(folder, error))
        throw core::Error(core::ErrorKind::WriteFailed,
                          "The folder " + folder.string() + " can't be made or isn't one: "
                              + (error ? error.message() : "a file has its name") + ". Choose another folder.");
}

} // namespace

std::vector<std::filesystem::path> publish(const session::Document& document, const std::filesystem::path& folder,
                                           const std::string& programVersion)
{
    const std::vector<Product> made = products(document, programVersion);
    makeFolder(folder);
    std::vector<std::filesystem::path> paths;
    try {
        session::Replacements files;
        for (const Product& product : made) {
            paths.push_back(folder / product.name);
            files.add(paths.back(), product.bytes); // a full disk shows here, before the first file takes its name
        }
        files.commit();
    } catch (const core::Error& error) {
        throw core::Error(error.kind(),
                          std::string("Nothing was published, files published earlier stay. ") + error.what());
    }
    return paths;
}

} // namespace ui
