#include "core/error.h"
#include "tests/gui/pages_session.h"
#include "ui/publish/publish.h"

#include <QDir>
#include <QFile>
#include <QTemporaryDir>
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>

namespace {

std::map<QString, QByteArray> filesIn(const QString& folder)
{
    std::map<QString, QByteArray> files;
    for (const QString& name : QDir(folder).entryList(QDir::Files | QDir::Hidden)) {
        QFile file(QDir(folder).filePath(name));
        REQUIRE(file.open(QIODevice::ReadOnly));
        files[name] = file.readAll();
    }
    return files;
}

std::filesystem::path inside(const QTemporaryDir& folder, const char* name)
{
    return std::filesystem::path(folder.path().toStdString()) / name;
}

} // namespace

TEST_CASE("the same session gives the same bytes in every product", "[pages][publish]")
{
    const QTemporaryDir folder;
    const session::Document document = pages_session::document();
    const auto first = ui::publish(document, inside(folder, "a"), "1.0");
    ui::publish(document, inside(folder, "b"), "1.0");
    CHECK(first.files.size() == 23);
    const auto a = filesIn(folder.filePath(QStringLiteral("a"))), b = filesIn(folder.filePath(QStringLiteral("b")));
    CHECK(a.size() == 23);
    CHECK(a == b);
    for (const auto& [name, bytes] : a) {
        CAPTURE(name.toStdString());
        CHECK_FALSE(bytes.isEmpty());
    }
}

TEST_CASE("one corrected mark rewrites the products that rest on it alone, and is named as the cause",
          "[pages][publish]")
{
    const QTemporaryDir folder;
    session::Document document = pages_session::document();
    document.settings.publish.form = session::ChartForm::Differences; // so that nothing of the baseline is in it
    ui::publish(document, inside(folder, "out"), "1.0");
    const auto again = ui::publish(document, inside(folder, "out"), "1.0");
    CHECK(again.rewritten.empty());
    CHECK(again.moved.empty());
    const auto before = filesIn(folder.filePath(QStringLiteral("out")));
    const session::Trial trial = *document.trials.begin()->second;
    session::Mark mark = *trial.readings.front().response;
    mark.frame.value += 12;
    document =
        session::apply(document, session::setMark(document, trial.id, {}, session::MarkKind::Response, mark, ""));
    document = session::apply(document, session::acceptReading(document, trial.id, trial.readings.front().id));
    const auto published = ui::publish(document, inside(folder, "out"), "1.0");
    const auto after = filesIn(folder.filePath(QStringLiteral("out")));
    CHECK(after.size() == before.size() + 1); // changes.txt
    for (const auto& [name, bytes] : after) {
        CAPTURE(name.toStdString());
        const bool rewritten = std::ranges::count(published.rewritten, name.toStdString()) > 0;
        CHECK(rewritten == (!before.contains(name) || before.at(name) != bytes));
    }
    for (const char* name : {"check_figures.py", "agreement.csv"}) {
        CAPTURE(name);
        CHECK(std::ranges::count(published.rewritten, std::string(name)) == 0);
    }
    REQUIRE_FALSE(published.moved.figures.empty());
    for (const report::MovedFigure& figure : published.moved.figures) {
        REQUIRE(figure.because.size() == 1);
        CHECK(figure.because[0].what.starts_with("Trial "));
        CHECK(figure.because[0].is.find("response at camera frame " + std::to_string(mark.frame.value))
              != std::string::npos);
    }
    CHECK(published.moved.further.empty());
    const QByteArray told = after.at(QStringLiteral("changes.txt"));
    CHECK(told.contains("response at camera frame " + QByteArray::number(qint64(mark.frame.value))));
    CHECK(told.contains(": was "));
    for (const char* name : {"comparison-chart.png", "comparison-chart.svg", "results.csv", "uncertainty.csv",
                             "trials.csv", "sentences.txt"})
        CHECK(after.at(QString::fromLatin1(name)) != before.at(QString::fromLatin1(name)));
}

TEST_CASE("what isn't published again after figures moved is named as of earlier", "[pages][publish]")
{
    const QTemporaryDir folder;
    session::Document document = pages_session::document();
    ui::PublishRun both, one;
    both.choice.only = {"sentences", "note"};
    one.choice.only = {"sentences"};
    ui::publish(document, inside(folder, "out"), "1.0", both);
    CHECK(ui::publish(document, inside(folder, "out"), "1.0", one).reports.empty());
    document.settings.plan.marginMs = 50; // every verdict rests on it
    const auto published = ui::publish(document, inside(folder, "out"), "1.0", one);
    REQUIRE(published.reports.size() == 1);
    CHECK(published.reports[0].find("method-note.txt in the folder is of an earlier publication") != std::string::npos);
}

TEST_CASE("a product that can't be written leaves all of them as they were", "[pages][publish]")
{
    const QTemporaryDir folder;
    session::Document document = pages_session::document();
    const auto out = inside(folder, "out");
    ui::publish(document, out, "1.0");
    // A folder in the way of one of the names fails like a disk that refuses.
    REQUIRE(QFile::remove(QString::fromStdString((out / "trials.csv").string())));
    REQUIRE(QDir().mkdir(QString::fromStdString((out / "trials.csv").string())));
    const auto before = filesIn(folder.filePath(QStringLiteral("out")));
    document.settings.publish.title = "Another title";
    try {
        ui::publish(document, out, "1.0");
        FAIL("published over a folder");
    } catch (const core::Error& error) {
        CHECK(error.kind() == core::ErrorKind::WriteFailed);
        CHECK(std::string(error.what()).find("trials.csv") != std::string::npos);
    }
    CHECK(filesIn(folder.filePath(QStringLiteral("out"))) == before);
}

TEST_CASE("an empty session is published without a crash", "[pages][publish]")
{
    const QTemporaryDir folder;
    CHECK(ui::publish(session::Document{}, inside(folder, "out"), "1.0").files.size() == 14); // nothing to compare
}

TEST_CASE("only the chosen products are made", "[pages][publish]")
{
    const QTemporaryDir folder;
    ui::PublishRun tableAndNote;
    tableAndNote.choice.only = {"table", "note"};
    ui::publish(pages_session::document(), inside(folder, "out"), "1.0", tableAndNote);
    const auto files = filesIn(folder.filePath(QStringLiteral("out")));
    CHECK(files.size() == 9); // four tables, JSON, the script, the note, publication.json, checksums.txt
    CHECK(files.contains(QStringLiteral("method-note.txt")));
    CHECK_FALSE(files.contains(QStringLiteral("comparison-chart.png")));
}
