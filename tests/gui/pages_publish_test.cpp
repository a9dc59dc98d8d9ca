#include "core/error.h"
#include "tests/gui/pages_session.h"
#include "ui/publish/publish.h"

#include <QDir>
#include <QFile>
#include <QTemporaryDir>
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
    CHECK(first.files.size() == 22);
    const auto a = filesIn(folder.filePath(QStringLiteral("a"))), b = filesIn(folder.filePath(QStringLiteral("b")));
    CHECK(a.size() == 22);
    CHECK(a == b);
    for (const auto& [name, bytes] : a) {
        CAPTURE(name.toStdString());
        CHECK_FALSE(bytes.isEmpty());
    }
}

TEST_CASE("one corrected mark changes the products that rest on it and nothing is left over", "[pages][publish]")
{
    const QTemporaryDir folder;
    session::Document document = pages_session::document();
    ui::publish(document, inside(folder, "out"), "1.0");
    const auto before = filesIn(folder.filePath(QStringLiteral("out")));
    const session::Trial trial = *document.trials.begin()->second;
    session::Mark mark = *trial.readings.front().response;
    mark.frame.value += 12;
    document =
        session::apply(document, session::setMark(document, trial.id, {}, session::MarkKind::Response, mark, ""));
    document = session::apply(document, session::acceptReading(document, trial.id, trial.readings.front().id));
    ui::publish(document, inside(folder, "out"), "1.0");
    const auto after = filesIn(folder.filePath(QStringLiteral("out")));
    CHECK(after.size() == before.size());
    for (const char* name : {"comparison-chart.png", "comparison-chart.svg", "results.csv", "uncertainty.csv",
                             "trials.csv", "sentences.txt"})
        CHECK(after.at(QString::fromLatin1(name)) != before.at(QString::fromLatin1(name)));
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
    CHECK(ui::publish(session::Document{}, inside(folder, "out"), "1.0").files.size() == 13); // nothing to compare
}

TEST_CASE("only the chosen products are made", "[pages][publish]")
{
    const QTemporaryDir folder;
    ui::PublishRun tableAndNote;
    tableAndNote.choice.only = {"table", "note"};
    ui::publish(pages_session::document(), inside(folder, "out"), "1.0", tableAndNote);
    const auto files = filesIn(folder.filePath(QStringLiteral("out")));
    CHECK(files.size() == 8); // four tables, JSON, the script, the note, and checksums.txt
    CHECK(files.contains(QStringLiteral("method-note.txt")));
    CHECK_FALSE(files.contains(QStringLiteral("comparison-chart.png")));
}
