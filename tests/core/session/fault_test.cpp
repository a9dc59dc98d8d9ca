#include "core/error.h"
#include "core/session/evidence_store.h"
#include "core/session/open_session.h"
#include "core/session/packet_files.h"
#include "fault_vfs.h"
#include "sample_document.h"
#include "session_listener.h"
#include <QCryptographicHash>
#include <catch2/catch.hpp>
#include <sstream>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

using namespace session;

namespace {

namespace fs = std::filesystem;

std::string checksum(const Document& document)
{
    return QCryptographicHash::hash(toJson(document), QCryptographicHash::Sha256).toHex().toStdString();
}

void say(int pipe, const std::string& line)
{
    const std::string whole = line + "\n";
    if (::write(pipe, whole.data(), whole.size()) != static_cast<ssize_t>(whole.size()))
        ::_exit(3);
}

/// An evening in short: footage taken in, marks with crops, undo and redo, another name, a packet. Says "asked" with
/// the checksum of each state before it is made and "safe" once it is on the disk; "told" is what the program said.
void campaign(const fs::path& folder, int pipe)
{
    OpenSession::Notices notices;
    notices.failed = [&](const std::string& sentence, const auto&) { say(pipe, "told " + sentence); };
    std::unique_ptr<OpenSession> session;
    const auto secure = [&](const std::string& name) {
        for (int i = 0; i < 3; ++i) {
            try {
                session->save();
                say(pipe, "safe " + name + " " + checksum(session->latest()));
                return;
            } catch (const core::Error& error) {
                say(pipe, std::string("told ") + error.what());
            }
        }
    };
    try {
        session = OpenSession::open(folder / "bench.tallyframe", notices);
        std::string name = "bench.tallyframe";
        const auto edit = [&](Edit one) {
            say(pipe, "asked " + name + " " + checksum(apply(session->latest(), one)));
            session->submit(std::move(one));
            secure(name);
        };
        const auto mark = [&](int i) {
            const Document& d = session->latest();
            Mark made = sample::mark(100 + i);
            made.crops.lampAt =
                session->evidence()->keep(std::vector<std::uint8_t>(3'000, static_cast<std::uint8_t>(i)));
            edit(addTrial(d, d.captures.begin()->first, {}, {}, made));
        };
        edit(addRun(session->latest(), "evening", {}));
        mark(1);
        mark(2);
        const std::string before = checksum(session->latest());
        Document undone = session->latest();
        undone.trials.erase(std::prev(undone.trials.end()));
        say(pipe, "asked " + name + " " + checksum(undone));
        session->undo();
        secure(name);
        say(pipe, "asked " + name + " " + before);
        session->redo();
        secure(name);
        try {
            session->saveAs(folder / "other.tallyframe");
            name = "other.tallyframe";
            say(pipe, "asked " + name + " " + checksum(session->latest()));
            secure(name);
        } catch (const core::Error& error) {
            say(pipe, std::string("told ") + error.what());
        }
        mark(3);
        writePacket(folder / "packet", session->latest(), {});
        say(pipe, "packet");
    } catch (const core::Error& error) {
        say(pipe, std::string("told ") + error.what());
    }
}

struct Life {
    std::map<std::string, std::vector<std::string>> asked; ///< checksums by file
    std::map<std::string, std::string> safe;
    int told = 0, status = 0;
    long calls = 0;
    bool happened = false, packet = false;
};

Life live(const fs::path& folder, fault::Kind kind, long at)
{
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        ::close(ends[0]);
        fault::begin(kind, at);
        campaign(folder, ends[1]);
        say(ends[1], "calls " + std::to_string(fault::calls()) + (fault::happened() ? " wrong" : " right"));
        ::_exit(0);
    }
    ::close(ends[1]);
    std::string said;
    char chunk[4096];
    for (ssize_t count = 0; (count = ::read(ends[0], chunk, sizeof chunk)) > 0;)
        said.append(chunk, static_cast<std::size_t>(count));
    ::close(ends[0]);
    Life life;
    REQUIRE(::waitpid(child, &life.status, 0) == child);
    std::istringstream lines(said);
    for (std::string word, first, rest; lines >> word;) {
        if (word == "asked" || word == "safe") {
            lines >> first >> rest;
            if (word == "safe")
                life.safe[first] = rest;
            else
                life.asked[first].push_back(rest);
        } else if (word == "calls") {
            lines >> life.calls >> rest;
            life.happened = rest == "wrong";
        } else {
            std::getline(lines, rest);
            life.packet = life.packet || word == "packet";
            life.told += word == "told";
        }
    }
    return life;
}

/// The session as it is found afterwards: whole, and nothing that was safe is missing. What was begun after it may be
/// there as a whole.
void requireNothingLost(const fs::path& folder, const Life& life, const std::string& beginning)
{
    for (const std::string name : {"bench.tallyframe", "other.tallyframe"}) {
        const bool isFirst = name == "bench.tallyframe";
        if (!isFirst && !life.safe.contains(name) && !fs::exists(folder / name.c_str()))
            continue;
        const auto session = OpenSession::open(folder / name.c_str(), {});
        REQUIRE_FALSE(session->readOnly());
        REQUIRE(contradiction(session->latest()) == "");
        std::vector<std::string> possible{beginning};
        if (const auto first = life.asked.find("bench.tallyframe"); !isFirst && first != life.asked.end())
            possible = first->second; // it was saved under this name at some point
        if (const auto found = life.asked.find(name); found != life.asked.end())
            possible.insert(possible.end(), found->second.begin(), found->second.end());
        auto from = possible.begin();
        if (const auto safe = life.safe.find(name); safe != life.safe.end())
            from = std::prev(std::find(possible.rbegin(), possible.rend(), safe->second).base());
        REQUIRE(std::find(from, possible.end(), checksum(session->latest())) != possible.end());
        for (const auto& [id, trial] : session->latest().trials)
            for (const Reading& reading : trial->readings)
                if (!reading.press->crops.lampAt.empty() && reading.press->frame > 100 && reading.press->frame < 104)
                    REQUIRE(session->evidence()->load(reading.press->crops.lampAt));
        while (session->undoLabel())
            session->undo();
    }
    if (fs::exists(folder / "packet"))
        REQUIRE(readSession(packetSession(folder / "packet")).document.captures.size() == 3);
}

} // namespace

TEST_CASE("whichever call to the disk goes wrong, nothing that was safe is lost", "[session][crash]")
{
    Folder folder;
    SessionStore::write(folder / "begin.tallyframe", {sample::planned(), {}});
    const std::string beginning = checksum(sample::planned());
    const auto fresh = [&](const char* name) {
        const fs::path own = folder / name;
        fs::remove_all(own);
        fs::create_directory(own);
        fs::copy_file(folder / "begin.tallyframe", own / "bench.tallyframe");
        return own;
    };
    const Life quiet = live(fresh("quiet"), fault::Kind::None, 0);
    REQUIRE(quiet.told == 0);
    REQUIRE(quiet.packet);
    REQUIRE(quiet.asked.at("bench.tallyframe").size() == 5);
    requireNothingLost(folder / "quiet", quiet, beginning);

    // Every call, or as many as the patience of those who wait for the tests.
    const long stride = qEnvironmentVariableIsSet("TALLYFRAME_EVERY_FAULT") ? 1 : std::max(1L, quiet.calls / 12);
    const std::pair<fault::Kind, const char*> kinds[] = {
        {fault::Kind::Io, "EIO"},           {fault::Kind::Full, "full"},           {fault::Kind::Short, "short"},
        {fault::Kind::Sync, "sync"},        {fault::Kind::StaysFull, "staysfull"}, {fault::Kind::Kill, "kill"},
        {fault::Kind::PowerCut, "powercut"}};
    std::string counts;
    for (const auto& [kind, name] : kinds) {
        int injected = 0, told = 0;
        for (long at = 1 + stride / 2; at <= quiet.calls; at += stride) {
            const fs::path own = fresh("life");
            const Life life = live(own, kind, at);
            INFO(name << " at call " << at << " of " << quiet.calls);
            const bool dies = kind == fault::Kind::Kill || kind == fault::Kind::PowerCut;
            REQUIRE(WIFEXITED(life.status));
            REQUIRE((WEXITSTATUS(life.status) == 0 || (dies && WEXITSTATUS(life.status) == 9)));
            requireNothingLost(own, life, beginning);
            const bool struck = life.happened || WEXITSTATUS(life.status) == 9;
            injected += struck;
            told += life.told > 0;
        }
        counts += std::string(counts.empty() ? "" : ", ") + name + " " + std::to_string(injected) + " (told "
                  + std::to_string(told) + ")";
        CHECK(injected > 0);
    }
    WARN(quiet.calls << " calls to the disk; went wrong: " << counts << "; 0 losses");
}
