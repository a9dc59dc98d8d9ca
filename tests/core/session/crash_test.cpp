#include "core/session/file_format.h"
#include "core/session/open_session.h"
#include "core/session/session_store.h"
#include "session_listener.h"
#include "json_mutation.h"
#include "sample_document.h"
#include <QFile>
#include <catch2/catch.hpp>
#include <csignal>
#include <sstream>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

using namespace session;

namespace {

/// What a scribe said until it was killed.
struct Life {
    std::vector<std::string> asked; ///< checksums; the first is what it began with
    std::size_t accepted = 0;       ///< how many of those after the first
    std::string failed;
    int status = 0;
};

/// Starts a scribe on the session, lets it work for so long after its first word and kills it.
Life liveAndDie(const std::filesystem::path& path, std::uint64_t seed, std::chrono::microseconds lifetime)
{
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const std::string seedText = std::to_string(seed);
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        ::dup2(ends[1], STDOUT_FILENO);
        ::close(ends[0]);
        ::close(ends[1]);
        ::execl(TALLYFRAME_SCRIBE, TALLYFRAME_SCRIBE, path.c_str(), seedText.c_str(), nullptr);
        ::_exit(127);
    }
    ::close(ends[1]);
    std::string said(1, '\0');
    std::thread killer;
    if (::read(ends[0], said.data(), 1) == 1) // it has opened the session
        killer = std::thread([&] {
            std::this_thread::sleep_for(lifetime);
            ::kill(child, SIGKILL);
        });
    char chunk[4096];
    for (ssize_t count = 0; (count = ::read(ends[0], chunk, sizeof chunk)) > 0;)
        said.append(chunk, static_cast<std::size_t>(count));
    if (killer.joinable())
        killer.join();
    ::close(ends[0]);
    Life life;
    REQUIRE(::waitpid(child, &life.status, 0) == child);
    std::istringstream lines(said);
    for (std::string word, rest; lines >> word && std::getline(lines, rest);) {
        rest.erase(0, 1);
        if (word == "asked")
            life.asked.push_back(rest);
        else if (word == "accepted")
            ++life.accepted;
        else
            life.failed = rest;
    }
    return life;
}

std::string checksum(const Document& document)
{
    return QCryptographicHash::hash(toJson(document), QCryptographicHash::Sha256).toHex().toStdString();
}

} // namespace

TEST_CASE("killed at any moment, a session comes back with every edit that was accepted", "[session][crash]")
{
    Folder folder;
    mutation::Random random(20300201);
    std::size_t accepted = 0, ahead = 0;
    std::filesystem::path path;
    for (int i = 0; i < 100; ++i) {
        if (i % 20 == 0) { // a new session now and then, so that histories stay of a length that tests everything
            path = folder / ("bench" + std::to_string(i) + ".tallyframe").c_str();
            SessionStore::write(path, {sample::planned(), {}});
        }
        const std::chrono::microseconds lifetime(mutation::below(random, 120'000));
        const Life life = liveAndDie(path, random(), lifetime);
        INFO("kill " << i << " after " << lifetime.count() << " us: " << life.failed);
        REQUIRE(life.failed.empty());
        REQUIRE(WIFSIGNALED(life.status));
        REQUIRE(WTERMSIG(life.status) == SIGKILL);
        REQUIRE(life.accepted < life.asked.size());
        accepted += life.accepted;

        const auto session = OpenSession::open(path, {});
        REQUIRE_FALSE(session->readOnly()); // the lock of the dead is taken over
        REQUIRE(contradiction(session->latest()) == "");
        // What was accepted last, or something asked for after it that was written as well.
        const auto found = std::find(life.asked.begin() + static_cast<std::ptrdiff_t>(life.accepted), life.asked.end(),
                                     checksum(session->latest()));
        REQUIRE(found != life.asked.end());
        ahead += static_cast<std::size_t>(found - life.asked.begin()) - life.accepted;
        REQUIRE(session->reports().empty());
    }
    WARN("100 kills: " << accepted << " edits were accepted and are there, " << ahead << " more were written");
    // One a life: a transaction waits for the disk four times (its journal and its name, the file, the name's going),
    // so that a slow disk lets no more through in the 60 ms that a life lasts on average.
    CHECK(accepted > 100);
}
