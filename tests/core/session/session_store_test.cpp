#include "core/session/session_store.h"
#include "core/error.h"
#include "core/session/edits.h"
#include "core/session/evidence_store.h"
#include "core/session/open_session.h"
#include "json_mutation.h"
#include "refusals.h"
#include "sample_document.h"
#include "session_listener.h"
#include <QFile>
#include <catch2/catch.hpp>
#include <csignal>
#include <sys/resource.h>

using namespace session;
using Catch::Contains;
using Catch::Matchers::StartsWith;

namespace {

namespace fs = std::filesystem;

QByteArray contents(const fs::path& path)
{
    QFile file(QString::fromStdString(path.string()));
    REQUIRE(file.open(QIODevice::ReadOnly));
    return file.readAll();
}

/// What another program does to the file, by SQLite.
void byAnother(const fs::path& path, const char* sql)
{
    Database database(path, Database::Access::Read);
    database.run(sql);
}

std::string sentence(const fs::path& path)
{
    const auto error = errorOf([&] { OpenSession::open(path, {}); });
    return error ? error->what() : "read without complaint";
}

} // namespace

TEST_CASE("what another program did to the session file is noticed before the next edit, and both are kept",
          "[session]")
{
    Folder folder;
    fs::create_directory(folder / "inner");
    const fs::path path = folder / "inner" / "bench.tallyframe";
    SessionStore::write(path, {sample::planned(), {}});
    Listener listener;
    const auto session = OpenSession::open(path, listener.notices());
    const std::string crop = session->evidence()->keep({1, 2, 3});
    Mark mark = sample::mark(100);
    mark.crops.lampAt = crop;
    session->submit(addTrial(session->latest(), session->latest().captures.begin()->first, {}, {}, mark));
    session->save();
    std::string says;
    bool comesBack = false;
    QByteArray theirs;
    SECTION("changed by SQLite")
    {
        byAnother(path, "UPDATE session SET token = 'theirs'");
        says = "nother program has written to";
        theirs = contents(path);
    }
    SECTION("replaced by another file")
    {
        SessionStore::write(path, {});
        says = "nother program put a different file in place of";
        theirs = contents(path);
    }
    SECTION("overwritten in place")
    {
        SessionStore::write(folder / "other.tallyframe", {sample::rich(), {}});
        write(path, contents(folder / "other.tallyframe"));
        says = "nother program has written to";
        theirs = contents(path);
    }
    SECTION("deleted")
    {
        fs::remove(path);
        says = "isn't there any more";
    }
    SECTION("its folder has another name for a while")
    {
        fs::rename(folder / "inner", folder / "moved");
        says = "isn't there any more";
        comesBack = true;
    }
    const std::int64_t number = session->submit(rename(*session, "after"));
    REQUIRE(listener.waitForFailures(1));
    CHECK_THAT(listener.failed().front().first,
               StartsWith("The latest changes are in memory only. ") && Contains(says) && Contains("another name"));
    REQUIRE(listener.waitForAccepted(number)); // work goes on
    CHECK(listener.accepted().back().second->settings.title == "after");
    CHECK_FALSE(session->savedToFile());
    CHECK_THAT(errorOf([&] { session->save(); })->what(), Contains(says));
    session->submit(rename(*session, "later"));
    CHECK_FALSE(session->savedToFile());
    if (!theirs.isEmpty())
        CHECK(contents(path) == theirs);
    if (comesBack) {
        fs::rename(folder / "moved", folder / "inner");
        REQUIRE(listener.waitForRecoveries(1));
        CHECK(session->savedToFile());
        CHECK(readSession(path) == session->latest());
        return;
    }
    fs::create_directories(folder / "inner");
    session->saveAs(folder / "inner" / "mine.tallyframe");
    CHECK(session->savedToFile());
    CHECK(listener.waitForRecoveries(1));
    session->submit(rename(*session, "last"));
    session->save();
    CHECK(readSession(folder / "inner" / "mine.tallyframe") == session->latest());
    CHECK(session->undoLabel() == "title last");
    const bool hasCrop =
        OpenSession::open(folder / "inner" / "mine.tallyframe", {})->evidence()->load(crop).has_value();
    if (hasCrop)
        return;
    // Nothing brings back bytes that were overwritten in place; the program says so.
    CHECK(says.find("written to") != std::string::npos);
    REQUIRE(listener.reported().size() == 1);
    CHECK_THAT(listener.reported().front(), Contains("crops of marks couldn't be read"));
}

TEST_CASE("a session whose file has gone can be saved, crops and history included", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe", target = folder / "saved.tallyframe";
    SessionStore::write(path, {sample::planned(), {}});
    const auto session = OpenSession::open(path, {});
    const std::string crop = session->evidence()->keep({1, 2, 3});
    session->submit(rename(*session, "one"));
    session->save();
    fs::remove(path);
    session->submit(rename(*session, "two"));
    const bool underItsOldName = GENERATE(false, true);
    session->saveAs(underItsOldName ? path : target);
    const fs::path now = session->path();
    session->submit(rename(*session, "three"));
    session->save();
    const auto reopened = OpenSession::open(now, {});
    CHECK(reopened->readOnly()); // held by the first
    CHECK(reopened->latest() == session->latest());
    CHECK(reopened->evidence()->load(crop).has_value());
    CHECK(reopened->undoLabel() == "title three");
}

TEST_CASE("a full disk keeps edits in memory and says so until there is room", "[session]")
{
    struct Cleanup {
        rlimit before{};
        ~Cleanup() { ::setrlimit(RLIMIT_FSIZE, &before); }
    } cleanup;
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    SessionStore::write(path, {sample::planned(), {}});
    Listener listener;
    const auto session = OpenSession::open(path, listener.notices());
    ::getrlimit(RLIMIT_FSIZE, &cleanup.before);
    ::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{static_cast<rlim_t>(fs::file_size(path)), cleanup.before.rlim_max};
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
    for (int i = 0; i < 3; ++i) {
        Settings settings = session->latest().settings;
        settings.plan.question = std::string(15'000, static_cast<char>('a' + i));
        session->submit(setSettings(session->latest(), settings, "a long question"));
    }
    REQUIRE(listener.waitForFailures(1));
    CHECK_THAT(listener.failed().front().first, Contains("Writing " + path.string()));
    CHECK_FALSE(session->savedToFile());
    CHECK(session->latest().settings.plan.question.front() == 'c');
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &cleanup.before) == 0);
    REQUIRE(listener.waitForRecoveries(1));
    session->save();
    CHECK(readSession(path) == session->latest());
}

TEST_CASE("files that aren't a session's are refused by what they are", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    const auto with = [&](const char* sql) {
        fs::remove(path);
        SessionStore::write(path, {sample::rich(), {}});
        byAnother(path, sql);
        const QByteArray before = contents(path);
        const std::string said = sentence(path);
        CHECK(contents(path) == before);
        CHECK(fileCount(folder.path()) == 1);
        return said;
    };
    CHECK_THAT(with("PRAGMA user_version = 3"), Contains("newer program"));
    CHECK_THAT(with("PRAGMA application_id = 7"), Contains("database of another program"));
    CHECK_THAT(with("CREATE TABLE other(x)"), Contains("table “other”, which no session has"));
    CHECK_THAT(with("CREATE VIEW v AS SELECT 1"), Contains("view “v”, which no session has"));
    CHECK_THAT(with("CREATE TRIGGER t AFTER INSERT ON edit BEGIN DELETE FROM entity; END"),
               Contains("trigger “t”, which no session has"));
    CHECK_THAT(with("CREATE INDEX i ON entity(kind)"), Contains("index “i”"));
    CHECK_THAT(with("DROP TABLE crop"), Contains("lacks the table crop"));
    CHECK_THAT(with("ALTER TABLE entity ADD COLUMN extra"), Contains("table “entity”, which no session has"));
    CHECK_THAT(with("UPDATE entity SET body = x'00' WHERE kind = 'trial'"), Contains("another type"));
    CHECK_THAT(with("UPDATE entity SET body = '{' WHERE kind = 'trial'"), Contains("line 1"));
    CHECK_THAT(with("UPDATE entity SET body = '{}' WHERE kind = 'clock'"), Contains("/clocks/0/id: this field"));
    CHECK_THAT(with("UPDATE entity SET kind = 'hologram' WHERE kind = 'run'"), Contains("/hologram: no session has"));
    CHECK_THAT(with("UPDATE entity SET id = id + 100000 WHERE kind = 'run'"), Contains("stands under"));
    CHECK_THAT(with("UPDATE session SET nextId = 3"), Contains("next number 3"));
    CHECK_THAT(with("INSERT INTO edit VALUES (1, 'dance', '')"), Contains("no known kind"));
    fs::remove(path);
    write(path, "");
    CHECK_THAT(sentence(path), Contains("is empty"));
    write(path, QByteArray(5'000, 'x'));
    CHECK_THAT(sentence(path), Contains("isn't a session"));
    write(path, toJson(sample::rich()));
    CHECK_THAT(sentence(path), Contains("tallyframe import bench.tallyframe --out"));
    fs::remove(path);
    fs::create_symlink("/dev/zero", path);
    CHECK_THAT(sentence(path), Contains("isn't a file"));
}

TEST_CASE("damaged session files are read or refused, never worse, and stay as they were", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    SessionStore::write(path, {sample::rich(), {}});
    const QByteArray good = contents(path);
    mutation::Random random(5);
    int read = 0, refused = 0;
    for (int i = 0; i < 300; ++i) {
        const QByteArray wrong = mutation::mutatedBytes(good, random);
        write(path, wrong);
        try {
            const auto session = OpenSession::open(path, {});
            CHECK(contradiction(session->latest()) == "");
            ++read;
        } catch (const core::Error& error) {
            INFO(error.what());
            CHECK_THAT(error.what(), Contains("bench.tallyframe"));
            CHECK(std::string(error.what()).size() < 700);
            ++refused;
        }
        CHECK(contents(path) == wrong);
        CHECK(fileCount(folder.path()) == 1);
    }
    WARN(read << " damaged files were read, " << refused << " refused");
    CHECK(refused > 100);
}

TEST_CASE("one bad byte in old history takes nothing else along", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    Document last;
    {
        const auto session = OpenSession::create(path, {});
        for (const char* name : {"first title", "second title", "third title"})
            session->submit(rename(*session, name));
        last = session->latest();
    }
    QByteArray bytes = contents(path);
    REQUIRE(bytes.indexOf("title first title", 0) > 0);
    bytes[bytes.indexOf("title first title", 0) - 1] = 'x'; // the quotation mark before the label of the oldest edit
    write(path, bytes);
    const auto session = OpenSession::open(path, {});
    CHECK(session->latest() == last);
    CHECK(session->undoLabel() == "title third title");
    session->undo();
    session->undo();
    CHECK_FALSE(session->undoLabel()); // as far as one can go back
    session->submit(rename(*session, "on"));
    session->save();
}
