#include "ui/publish/publish.h"
#include "core/analysis/phrases.h"
#include "core/error.h"
#include "core/report/budget_table.h"
#include "core/report/html_report.h"
#include "core/report/method_note.h"
#include "core/report/publication_record.h"
#include "core/report/results_json.h"
#include "core/report/agreement_words.h"
#include "core/report/own_sentences.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "core/session/durable_file.h"
#include "core/session/text.h"
#include "ui/chart/chart_painter.h"

#include <QFile>
#include <algorithm>
#include <iterator>

namespace ui {
namespace {

constexpr std::int64_t mostStateBytes = 256 << 20;

/// Works the figures out again from the tables.
QByteArray checkingProgram()
{
    QFile file(QStringLiteral(":/check_figures.py"));
    const bool open = file.open(QIODevice::ReadOnly);
    Q_ASSERT_X(open, "checkingProgram", "it is part of the program");
    Q_UNUSED(open)
    return file.readAll();
}

QByteArray reportPage(const session::Document& document, const analysis::Results& results,
                      const std::string& programVersion, const PublishRun& run)
{
    report::ReportParts parts{programVersion, {}, {}};
    ChartStyle style = styleOf(document.settings.publish);
    style.transparent = false;
    for (const ChartScene& scene : layOutChart(report::chartModel(document, results), style))
        parts.charts.push_back(chartSvg(scene));
    if (run.pictures && run.pictures->crops)
        parts.crop = [crops = run.pictures->crops](const std::string& sha256) { return crops->load(sha256); };
    return report::htmlReport(document, results, parts);
}

std::vector<report::Product> products(const session::Document& document, const analysis::Results& results,
                                      const std::string& programVersion, const PublishRun& run,
                                      std::vector<std::string>& reports)
{
    const PublishChoice& choice = run.choice;
    std::vector<report::Product> files = chartFiles(document, results, choice);
    for (report::Product& motion : motionFiles(document, results, choice, run.stop, run.making))
        files.push_back(std::move(motion));
    if (run.pictures) {
        EvidenceFiles evidence = evidenceFiles(document, results, choice, *run.pictures, run.stop, run.making);
        std::ranges::move(evidence.files, std::back_inserter(files));
        std::ranges::move(evidence.reports, std::back_inserter(reports));
    }
    const auto bytes = [](const std::string& text) { return QByteArray::fromStdString(text); };
    if (choice.has("table")) {
        files.push_back({"results.csv", bytes(report::resultsCsv(document, results))});
        files.push_back({"results.json", report::resultsJson(document, results, programVersion)});
        files.push_back({"uncertainty.csv", bytes(report::budgetCsv(results))});
        files.push_back({"trials.csv", bytes(report::trialsCsv(document, results))});
        if (!results.earlier.empty())
            files.push_back({"earlier.csv", bytes(report::earlierCsv(document, results))});
        files.push_back({"check_figures.py", checkingProgram()});
        files.push_back({"agreement.csv", bytes(report::agreementCsv(analysis::readingAgreement(document, results)))});
    }
    if (choice.has("sentences")) {
        int number = 0;
        for (const report::OwnSentence& own : report::ownSentences(document, results)) {
            ++number;
            if (!own.problem.empty())
                reports.push_back("Sentence " + std::to_string(number) + " of your own isn't among the published ones. "
                                  + own.problem);
        }
        files.push_back({"sentences.txt", bytes(report::scriptText(document, results))});
    }
    if (choice.has("note"))
        files.push_back({"method-note.txt", bytes(report::methodNote(document, results, programVersion))});
    if (choice.has("report"))
        files.push_back({"report.html", reportPage(document, results, programVersion, run)});
    return files;
}

/// What of the folder still shows the figures as they were.
std::string olderFiles(std::vector<std::string> names)
{
    constexpr std::size_t named = 6;
    const std::size_t all = names.size();
    if (all > named) {
        names.resize(named);
        names.push_back(std::to_string(all - named) + " more");
    }
    return "Figures moved, and " + analysis::listed(names)
           + (all == 1 ? " in the folder is of an earlier publication: publish it again or take it away."
                       : " in the folder are of an earlier publication: publish them again or take them away.");
}

} // namespace

std::optional<report::PublishedState> publishedIn(const PublishInto& into)
{
    QByteArray bytes;
    try {
        bytes = session::readFile(into.folder / report::publishedStateName, mostStateBytes);
    } catch (const core::Error&) {
        return std::nullopt; // there is none yet; what can't be read, writing won't replace without asking
    }
    auto state = report::publishedStateFrom(bytes);
    return state && state->session == into.session ? state : std::nullopt;
}

Published publish(const session::Document& document, const PublishInto& into, const std::string& programVersion,
                  const PublishRun& run)
{
    const auto results =
        run.results ? run.results : std::make_shared<const analysis::Results>(analysis::compute(document));
    std::vector<std::string> reports;
    std::vector<report::Product> made = products(document, *results, programVersion, run, reports);
    made.insert(made.end(), run.further.begin(), run.further.end());
    report::PublishedState state = report::publishedState(document, *results, into.session, programVersion);
    report::Changes changes;
    if (const auto earlier = publishedIn(into)) {
        changes = report::changesBetween(*earlier, state);
        state.changes = earlier->changes;
        if (!changes.empty())
            state.changes.push_back({session::timeNow(), programVersion, report::changeLines(changes)});
        if (state.changes.size() > report::mostChanges)
            state.changes.erase(state.changes.begin());
    }
    if (!state.changes.empty())
        made.push_back({report::publishedChangesName, QByteArray::fromStdString(report::changesText(state))});
    made.push_back({report::publishedStateName, report::toJson(state)});
    try {
        Published published{report::PublishedFolder(into.folder, into.session, document.publications)
                                .write(made, into.replaceForeign, run.stop, run.progress),
                            {},
                            std::move(changes)};
        published.reports.insert(published.reports.begin(), reports.begin(), reports.end());
        if (!published.moved.figures.empty() && !published.others.empty())
            published.reports.push_back(olderFiles(published.others));
        published.record = report::publicationOf(document, *results, programVersion, published);
        return published;
    } catch (const core::Error& error) {
        if (error.kind() == core::ErrorKind::Refused)
            throw;
        throw core::Error(error.kind(),
                          std::string("Nothing was published, files published earlier stay. ") + error.what());
    }
}

} // namespace ui
