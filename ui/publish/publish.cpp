#include "ui/publish/publish.h"
#include "core/error.h"
#include "core/report/budget_table.h"
#include "core/report/chart_model.h"
#include "core/report/method_note.h"
#include "core/report/reading_agreement.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_painter.h"
#include "ui/model/file_paths.h"

#include <QSaveFile>
#include <memory>

namespace ui {
namespace {

struct Product {
    const char* name;
    QByteArray bytes;
};

std::vector<Product> products(const session::Document& document, const std::string& programVersion)
{
    const report::Results results = report::compute(document);
    const ChartScene chart = layOutChart(report::chartModel(document, results), document.settings.publish.theme);
    const auto bytes = [](const std::string& text) { return QByteArray::fromStdString(text); };
    return {
        {"comparison-chart.png", chartPng(chart)},
        {"comparison-chart.svg", chartSvg(chart)},
        {"results.csv", bytes(report::resultsCsv(document, results))},
        {"uncertainty.csv", bytes(report::budgetCsv(results))},
        {"trials.csv", bytes(report::trialsCsv(document, results))},
        {"agreement.csv", bytes(report::agreementCsv(report::readingAgreement(document, results)))},
        {"sentences.txt", bytes(report::scriptText(results))},
        {"method-note.txt", bytes(report::methodNote(document, results, programVersion))},
    };
}

[[noreturn]] void fail(const std::filesystem::path& path, const QString& why, const std::string& consequence)
{
    throw core::Error(core::ErrorKind::WriteFailed,
                      "Publishing " + path.string() + " failed: " + why.toStdString() + ". " + consequence);
}

void makeFolder(const std::filesystem::path& folder)
{
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error || !std::filesystem::is_directory(folder, error))
        throw core::Error(core::ErrorKind::WriteFailed, "The folder " + folder.string() + " can't be made or isn't one: "
                                                            + (error ? error.message() : "a file has its name") + ". Choose another folder.");
}

} // namespace

std::vector<std::filesystem::path> publish(const session::Document& document, const std::filesystem::path& folder,
                                           const std::string& programVersion)
{
    const std::vector<Product> made = products(document, programVersion);
    makeFolder(folder);
    std::vector<std::filesystem::path> paths;
    std::vector<std::unique_ptr<QSaveFile>> files;
    for (const Product& product : made) {
        paths.push_back(folder / product.name);
        files.push_back(std::make_unique<QSaveFile>(fromPath(paths.back())));
        QSaveFile& file = *files.back();
        // A full disk shows here, before the first file takes its name.
        if (!file.open(QIODevice::WriteOnly) || file.write(product.bytes) != product.bytes.size() || !file.flush())
            fail(paths.back(), file.errorString(), "Files published earlier are as they were.");
    }
    for (std::size_t i = 0; i < files.size(); ++i)
        if (!files[i]->commit())
            fail(paths[i], files[i]->errorString(), std::to_string(i) + " of " + std::to_string(files.size()) + " files are new; publish again.");
    return paths;
}

} // namespace ui
