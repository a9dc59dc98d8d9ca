#include "core/session/open_session.h"
#include "core/error.h"
#include "core/session/edits.h"
#include "core/session/evidence_store.h"
#include "core/session/session_store.h"
#include "session_listener.h"
#include "json_mutation.h"
#include "refusals.h"
#include "sample_document.h"
#include <QFile>
#include <catch2/catch.hpp>
#include <csignal>
#include <fstream>
#include <sys/resource.h>
#include <sys/stat.h>
#include <thread>

using namespace session;
using Catch::Contains;
using Catch::Matchers::StartsWith;

namespace {

namespace fs = std::filesystem;

/// A new session that holds what sample::planned() does, saved or not.
std::unique_ptr<OpenSession> begin(const fs::path& path, OpenSession::Notices notices = {})
{
    SessionStore::write(path, {sample::planned(), {}});
    return OpenSession::open(path, std::move(notices));
}

const std::string& title(const OpenSession& session) { return session.latest().settings.title; }

} // namespace

TEST_CASE("a new session is a file at once and nothing is written over", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    {
        const auto session = OpenSession::create(path, {});
        CHECK(fs::exists(path));
        CHECK_FALSE(session->readOnly());
        CHECK(session->savedToFile());
        CHECK(session->reports().empty());
        CHECK(session->latest() == Document{});
        CHECK_FALSE(session->undoLabel());
    }
    CHECK(fileCount(folder.path()) == 1); // no lock is left
    const auto error = errorOf([&] { OpenSession::create(path, {}); });
    REQUIRE(error);
    CHECK_THAT(error->what(), Contains("already is a file"));
    CHECK(errorOf([&] { OpenSession::create(folder / "no" / "such.tallyframe", {}); })->kind()
          == core::ErrorKind::NotFound);
    CHECK(errorOf([&] { OpenSession::open(folder / "none.tallyframe", {}); })->kind() == core::ErrorKind::NotFound);
    CHECK(errorOf([&] { OpenSession::open(folder.path(), {}); })->kind() == core::ErrorKind::Unreadable);
}

TEST_CASE("edits are accepted in their order and there again after reopening without a save", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    Listener listener;
    Document last;
    {
        const auto session = begin(path, listener.notices());
        std::int64_t number = 0;
        for (int i = 0; i < 50; ++i) {
            const std::int64_t given = session->submit(rename(*session, std::to_string(i)));
            CHECK(given > number);
            number = given;
        }
        REQUIRE(listener.waitForAccepted(number));
        const auto accepted = listener.accepted();
        REQUIRE(accepted.size() == 50);
        for (int i = 0; i < 50; ++i) {
            CHECK(accepted[i].second->settings.title == std::to_string(i));
            CHECK((i == 0 || accepted[i].first > accepted[i - 1].first));
        }
        CHECK(session->submit(rename(*session, "49")) == number); // changes nothing
        last = session->latest();
    }
    const auto session = OpenSession::open(path, {});
    CHECK(session->reports().empty());
    CHECK(session->latest() == last);
    CHECK(session->savedToFile());
    CHECK(readSession(path) == last);
}

TEST_CASE("undo and redo are kept over saving and reopening", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    const auto reopened = [&] { return OpenSession::open(path, {}); };
    {
        const auto session = begin(path);
        for (const char* name : {"a", "b", "c", "d"})
            session->submit(rename(*session, name));
        session->undo();
        session->save();
        CHECK(session->savedToFile());
        session->submit(rename(*session, "e"));
        CHECK_FALSE(session->redoLabel());
    }
    {
        const auto session = reopened();
        CHECK(title(*session) == "e");
        CHECK(session->undoLabel() == "title e");
        session->undo();
        CHECK(title(*session) == "c");
        session->undo(); // made before the save
        CHECK(title(*session) == "b");
        CHECK(session->redoLabel() == "title c");
        session->save();
    }
    {
        const auto session = reopened();
        CHECK(session->savedToFile());
        CHECK(title(*session) == "b");
        session->redo();
        CHECK(title(*session) == "c");
        session->redo();
        CHECK(title(*session) == "e");
        CHECK_FALSE(session->redoLabel());
        for (const char* name : {"c", "b", "a", "Pedal links"}) {
            REQUIRE(session->undoLabel());
            session->undo();
            CHECK(title(*session) == name);
        }
        CHECK_FALSE(session->undoLabel());
        Document expected = sample::planned();
        CHECK(session->latest().settings.plan.question == expected.settings.plan.question);
        CHECK(session->latest().captures.size() == expected.captures.size());
    }
}

TEST_CASE("undo takes along what the program did since, and passes over what it learned", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    auto session = begin(path);
    const CaptureId id = session->latest().captures.begin()->first;
    const auto frames = [&] { return find(session->latest(), id)->frames.value; };
    const std::int64_t before = frames();
    session->submit(rename(*session, "a"));
    DecodedFrames found{*find(session->latest(), id), {}, {}, {}};
    found.capture.frames = {before - 10};
    session->submit(followFrames(session->latest(), id, found));
    session->submit(recordEarlyLook(session->latest(), "delays"));
    const auto walk = [&] {
        CHECK(session->undoLabel() == "title a");
        session->undo();
        CHECK(title(*session) == "Pedal links");
        CHECK(frames() == before);
        CHECK(session->latest().settings.earlyLooks.size() == 1);
        CHECK_FALSE(session->undoLabel());
        CHECK(session->redoLabel() == "title a");
        session->redo();
        CHECK(title(*session) == "a");
        CHECK(frames() == before - 10);
        CHECK_FALSE(session->redoLabel());
    };
    walk();
    session.reset();
    session = OpenSession::open(path, {});
    walk();
}

TEST_CASE("what the program alone did can't be undone", "[session]")
{
    Folder folder;
    const auto session = begin(folder / "bench.tallyframe");
    const CaptureId id = session->latest().captures.begin()->first;
    DecodedFrames found{*find(session->latest(), id), {}, {}, {}};
    found.capture.frames.value -= 10;
    session->submit(followFrames(session->latest(), id, found));
    CHECK_FALSE(session->undoLabel());
}

TEST_CASE("a random walk of edits, undos, redos, saves and reopenings agrees with a plain model", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    auto session = begin(path);
    // The model: whole documents. Numbers given out stay given out, so they are left aside.
    std::vector<Document> past, future;
    Document now = session->latest();
    const auto same = [](Document a, Document b) {
        a.nextId = b.nextId = 1;
        return a == b;
    };
    mutation::Random random(99);
    int reopenings = 0;
    for (int i = 0; i < 1'500; ++i) {
        switch (mutation::below(random, 12)) {
        case 0:
        case 1:
        case 2:
            if (!past.empty()) {
                session->undo();
                future.push_back(now);
                now = past.back();
                past.pop_back();
            }
            break;
        case 3:
        case 4:
            if (!future.empty()) {
                session->redo();
                past.push_back(now);
                now = future.back();
                future.pop_back();
            }
            break;
        case 5:
            if (mutation::below(random, 3) == 0)
                session->save();
            break;
        case 6:
            if (mutation::below(random, 5) == 0) {
                session.reset();
                session = OpenSession::open(path, {});
                ++reopenings;
                REQUIRE(session->reports().empty());
            }
            break;
        default: {
            const Document& d = session->latest();
            const CaptureId capture = d.captures.begin()->first;
            Edit edit = i % 2 || d.trials.empty() ? addTrial(d, capture, {}, {}, sample::mark(i % 2'000))
                                                  : setTrialNote(d, d.trials.rbegin()->first, std::to_string(i));
            past.push_back(now);
            now = apply(d, edit);
            future.clear();
            session->submit(std::move(edit));
        }
        }
        REQUIRE(same(session->latest(), now));
        REQUIRE(session->undoLabel().has_value() == !past.empty());
        REQUIRE(session->redoLabel().has_value() == !future.empty());
    }
    CHECK(reopenings > 10);
}

TEST_CASE("the file alone, copied at a quiet moment while the session is open, is the whole session", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe", copy = folder / "copy.tallyframe";
    Listener listener;
    const auto session = begin(path, listener.notices());
    const std::string crop = session->evidence()->keep({0x89, 'P', 'N', 'G', 1});
    session->submit(rename(*session, "one"));
    REQUIRE(listener.waitForAccepted(session->submit(rename(*session, "two"))));
    CHECK(fileCount(folder.path()) == 2); // session and lock
    fs::copy_file(path, copy);
    const auto other = OpenSession::open(copy, {});
    CHECK(other->latest() == session->latest());
    CHECK(other->evidence()->load(crop) == std::vector<std::uint8_t>{0x89, 'P', 'N', 'G', 1});
    CHECK(other->undoLabel() == "title two");
    other->undo();
    other->undo();
    CHECK(title(*other) == "Pedal links");
    CHECK(readSession(path) == session->latest()); // while it is open
}

TEST_CASE("a second instance gets the session read-only and is told who holds it", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe";
    Listener listener;
    const auto first = begin(path, listener.notices());
    REQUIRE(listener.waitForAccepted(first->submit(rename(*first, "held"))));
    fs::create_symlink(path, folder / "link.tallyframe");
    for (const fs::path& way : {path, folder / "link.tallyframe", folder.path() / "." / "bench.tallyframe"}) {
        const auto second = OpenSession::open(way, {});
        CHECK(second->readOnly());
        CHECK_THAT(second->readOnlyReason(),
                   Contains("open elsewhere") && Contains("process " + std::to_string(::getpid())));
        CHECK(title(*second) == "held");
        CHECK(errorOf([&] { second->submit(rename(*second, "x")); })->kind() == core::ErrorKind::Locked);
        CHECK(errorOf([&] { second->save(); })->kind() == core::ErrorKind::Locked);
        CHECK(errorOf([&] { second->undo(); })->kind() == core::ErrorKind::Locked);
    }
    first->submit(rename(*first, "still writable"));
    CHECK_FALSE(first->readOnly());
}

TEST_CASE("saving under another name takes history and evidence along", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe", target = folder / "copy.tallyframe";
    {
        const auto other = OpenSession::create(target, {});
        other->submit(addRun(other->latest(), "old run", {}));
    }
    const auto session = begin(path);
    const std::string crop = session->evidence()->keep({1, 2, 3});
    session->submit(rename(*session, "one"));
    session->submit(rename(*session, "two"));
    session->undo();
    session->saveAs(target);
    CHECK(session->path() == fs::canonical(target));
    CHECK(session->savedToFile());
    CHECK(readSession(target) == session->latest());
    CHECK(session->evidence()->load(crop) == std::vector<std::uint8_t>{1, 2, 3});
    session->redo();
    session->save(); // the other readers below see what is on the disk
    CHECK(title(*session) == "two");
    {
        const auto original = OpenSession::open(path, {}); // let go of
        CHECK_FALSE(original->readOnly());
        CHECK(title(*original) == "one");
        const auto held = OpenSession::open(target, {});
        CHECK(held->readOnly());
        CHECK(title(*held) == "two");
        // A read-only session becomes one's own under another name.
        held->saveAs(folder / "third.tallyframe");
        CHECK_FALSE(held->readOnly());
        held->undo();
        held->undo();
        CHECK(title(*held) == "Pedal links");
        CHECK(errorOf([&] { held->saveAs(target); })->kind() == core::ErrorKind::Locked);
        CHECK(errorOf([&] { held->saveAs(folder / "third.tallyframe"); })->kind() == core::ErrorKind::Refused);
        CHECK(errorOf([&] { held->saveAs(folder / "no" / "where.tallyframe"); })->kind() == core::ErrorKind::NotFound);
        CHECK_FALSE(held->readOnly());
        held->redo();
        CHECK(title(*held) == "one");
    }
}

TEST_CASE("while a session is being saved under another name edits go on, and go to the new file", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe", target = folder / "copy.tallyframe";
    Listener listener;
    {
        const auto session = begin(path, listener.notices());
        session->submit(rename(*session, "before"));
        session->startSaveAs(target);
        for (int i = 0; i < 20; ++i)
            session->submit(rename(*session, "meanwhile " + std::to_string(i)));
        REQUIRE(listener.waitForSavesAs(1));
        CHECK(listener.savedAs() == std::vector<std::string>{""});
        REQUIRE(session->takeSaveAs());
        CHECK_FALSE(session->takeSaveAs());
        CHECK(session->path() == fs::canonical(target));
        session->submit(rename(*session, "after"));
    }
    CHECK(title(*OpenSession::open(target, {})) == "after");
    CHECK(title(*OpenSession::open(path, {})) == "before");
    CHECK(listener.failed().empty());
}

TEST_CASE("saving under another name on a disk without room leaves both places as they were", "[session]")
{
    struct Cleanup { // files longer than this can't be written, as on a full disk
        rlimit before{};
        ~Cleanup() { ::setrlimit(RLIMIT_FSIZE, &before); }
    } cleanup;
    Folder folder;
    Listener listener;
    const auto session = begin(folder / "bench.tallyframe", listener.notices());
    session->evidence()->keep(std::vector<std::uint8_t>(3'000'000, 'x'));
    OpenSession::create(folder / "taken.tallyframe", {});
    session->submit(rename(*session, "one"));
    session->save();
    const std::string target = GENERATE("taken.tallyframe", "new.tallyframe");
    const auto before = fileCount(folder.path());

    ::getrlimit(RLIMIT_FSIZE, &cleanup.before);
    ::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{2'000'000, cleanup.before.rlim_max};
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
    session->startSaveAs(folder / target.c_str());
    REQUIRE(listener.waitForSavesAs(1));
    CHECK_THAT(listener.savedAs().front(), StartsWith("The session wasn't saved. Writing "));
    CHECK_FALSE(session->takeSaveAs());
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &cleanup.before) == 0);

    CHECK(fileCount(folder.path()) == before);
    session->submit(rename(*session, "meanwhile"));
    session->save();
    CHECK(title(*OpenSession::open(folder / "bench.tallyframe", {})) == "meanwhile");
    CHECK(readSession(folder / "taken.tallyframe") == Document{});
}

TEST_CASE("where nothing may be written a session is opened read-only and can be saved elsewhere", "[session]")
{
    // The superuser may write everything, so the test goes on as somebody else.
    struct SomebodyElse {
        const bool needed = ::geteuid() == 0;
        SomebodyElse() { REQUIRE((!needed || ::seteuid(65534) == 0)); }
        ~SomebodyElse() { CHECK((!needed || ::seteuid(0) == 0)); }
    };
    Folder folder;
    fs::permissions(folder.path(), fs::perms::all);
    const fs::path inner = folder / "inner", path = inner / "bench.tallyframe";
    fs::create_directory(inner);
    fs::permissions(inner, fs::perms::all);
    SessionStore::write(path, {sample::planned(), {}});
    {
        fs::permissions(path, static_cast<fs::perms>(0444));
        const SomebodyElse somebody;
        const auto session = OpenSession::open(path, {});
        CHECK_THAT(session->readOnlyReason(), Contains("write-protected"));
        session->saveAs(folder / "mine.tallyframe");
        CHECK_FALSE(session->readOnly());
    }
    {
        fs::permissions(inner, static_cast<fs::perms>(0555));
        const SomebodyElse somebody;
        const auto session = OpenSession::open(path, {});
        CHECK_THAT(session->readOnlyReason(), Contains("nothing can be written in " + inner.string()));
        CHECK(session->latest().captures.size() == 3);
        CHECK(errorOf([&] { OpenSession::create(inner / "new.tallyframe", {}); })->kind()
              == core::ErrorKind::WriteFailed);
    }
    fs::permissions(inner, fs::perms::all);
}

TEST_CASE("what a crash left of writing a session is taken away and told, and nothing else is", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe", other = folder / "other.tallyframe";
    SessionStore::write(path, {sample::planned(), {}});
    const auto leave = [&](const std::string& name) { std::ofstream(folder / name.c_str()) << "half"; };
    const std::vector<std::string> strangers = {"bench.tallyframe.writing-12", "bench.tallyframe.writing-12-xyz",
                                                "bench.tallyframe.writing-notes.txt", "my bench.tallyframe.writing-1-a",
                                                "bench.tallyframe.writing--a"};
    for (const std::string& name : strangers)
        leave(name);
    leave("bench.tallyframe.writing-123-a0b1");
    leave("bench.tallyframe.writing-123-a0b1-journal");
    leave("other.tallyframe.writing-7-f");

    CHECK(readSession(path) == sample::planned()); // reading changes nothing
    CHECK(fs::exists(folder / "bench.tallyframe.writing-123-a0b1"));
    Listener listener;
    const auto session = OpenSession::open(path, listener.notices());
    REQUIRE(session->reports().size() == 1);
    CHECK_THAT(session->reports().front(), StartsWith("Writing bench.tallyframe was interrupted earlier")
                                               && Contains("bench.tallyframe.writing-123-a0b1, "));
    CHECK_FALSE(fs::exists(folder / "bench.tallyframe.writing-123-a0b1"));
    CHECK_FALSE(fs::exists(folder / "bench.tallyframe.writing-123-a0b1-journal"));
    session->saveAs(other);
    REQUIRE(listener.reported().size() == 1);
    CHECK_THAT(listener.reported().front(), Contains("other.tallyframe.writing-7-f"));
    for (const std::string& name : strangers)
        CHECK(fs::exists(folder / name.c_str()));
    CHECK(OpenSession::open(path, {})->reports().empty());
}

TEST_CASE("a lock that names nobody, as a power cut leaves it, locks nobody out", "[session]")
{
    Folder folder;
    const fs::path path = folder / "bench.tallyframe", lock = folder / "bench.tallyframe.lock";
    SessionStore::write(path, {sample::planned(), {}});
    std::ofstream(lock) << "";
    CHECK_FALSE(OpenSession::open(path, {})->readOnly());
    CHECK_FALSE(fs::exists(lock));
    std::ofstream(lock) << "12";
    CHECK_FALSE(OpenSession::open(path, {})->readOnly());
}
