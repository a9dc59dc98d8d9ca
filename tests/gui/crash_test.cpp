// The window is killed while keys rain on it. Nothing that it has shown may be lost.
#include "core/media/index/footage.h"
#include "core/session/edits.h"
#include "core/session/evidence_store.h"
#include "core/session/history.h"
#include "core/session/open_session.h"
#include "tests/footage/footage.h"

#include <QCryptographicHash>
#include <QTemporaryDir>
#include <catch2/catch.hpp>
#include <algorithm>
#include <csignal>
#include <random>
#include <set>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

using namespace session;

namespace {

std::string checksum(const Document& document)
{
    return QCryptographicHash::hash(toJson(document), QCryptographicHash::Sha256).toHex().toStdString();
}

/// A session with one short film, both regions, three configurations, and no trial yet.
std::filesystem::path makeSession(const std::filesystem::path& folder)
{
    footage::Spec film;
    film.scene.kind = footage::SceneKind::Pattern;
    film.camera.width = 192;
    film.camera.height = 108;
    film.camera.frames = 90;
    film.storage.codec = "mjpeg";
    film.storage.pixelFormat = "yuvj420p";
    film.storage.quality = 8;
    footage::make(film, folder / "film.mov");
    const auto footage = media::openFootage(folder / "film.mov");

    const auto path = folder / "fire.tallyframe";
    auto session = OpenSession::create(path, {});
    for (const char* name : {"cable", "bridge", "hub"}) {
        Configuration configuration;
        configuration.name = name;
        session->submit(addConfiguration(session->latest(), configuration));
    }
    NewCapture capture;
    capture.capture.name = "film";
    capture.capture.path = "film.mov";
    capture.capture.sha256 = media::partsSha256({folder / "film.mov"});
    capture.capture.frames = footage->frameCount();
    capture.capture.width = footage->size.width;
    capture.capture.height = footage->size.height;
    session->submit(addCaptures(session->latest(), {capture}));
    const CaptureId id = session->latest().captures.begin()->first;
    session->submit(setRegion(session->latest(), id, {{}, RegionKind::Lamp, "Lamp", 10, 10, 20, 20}));
    session->submit(setRegion(session->latest(), id, {{}, RegionKind::Screen, "Panel", 90, 20, 60, 40}));
    session->save();
    const Document made = session->latest();
    session.reset();
    SessionStore::write(path, {made, {}}); // without a log, so that undo doesn't reach behind what is made here
    return path;
}

/// What the window said until it was killed.
struct Life {
    std::vector<std::string> shown; ///< checksums; the first is what it began with
    std::vector<std::string> told;  ///< everything else
    int status = 0;
};

/// Opens the session in the window, lets keys rain until it has shown so many changes and so long after, and kills it.
Life liveAndDie(const std::filesystem::path& path, std::uint64_t seed, std::size_t changes,
                std::chrono::milliseconds after)
{
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const std::string seedText = std::to_string(seed), home = path.parent_path().string() + "/home";
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        ::dup2(ends[1], STDOUT_FILENO);
        ::close(ends[0]);
        ::close(ends[1]);
        ::setenv("QT_QPA_PLATFORM", "offscreen", 1);
        ::setenv("XDG_CONFIG_HOME", home.c_str(), 1); // the window's own memory, none of the user's
        ::setenv("XDG_DATA_HOME", home.c_str(), 1);
        ::setenv("XDG_RUNTIME_DIR", path.parent_path().c_str(), 1);
        ::alarm(300); // ends it where it hangs
        ::execl(DESK_UNDER_FIRE, DESK_UNDER_FIRE, path.c_str(), seedText.c_str(), nullptr);
        ::_exit(127);
    }
    ::close(ends[1]);
    Life life;
    std::string said;
    std::thread killer;
    char chunk[4096];
    for (ssize_t count = 0; (count = ::read(ends[0], chunk, sizeof chunk)) > 0;) {
        said.append(chunk, static_cast<std::size_t>(count));
        for (std::size_t end = 0; (end = said.find('\n')) != std::string::npos; said.erase(0, end + 1))
            if (said.starts_with("shown "))
                life.shown.push_back(said.substr(6, end - 6));
            else
                life.told.push_back(said.substr(0, end));
        if (!killer.joinable() && life.shown.size() > changes)
            killer = std::thread([&] {
                std::this_thread::sleep_for(after);
                ::kill(child, SIGKILL);
            });
    }
    if (killer.joinable())
        killer.join();
    ::close(ends[0]);
    REQUIRE(::waitpid(child, &life.status, 0) == child);
    return life;
}

/// Follows the log line by line, so that every state the session has been in is known.
class Follower {
public:
    /// Precondition: its log is empty.
    explicit Follower(const std::filesystem::path& path) : m_path(path), m_document(readSession(path)) {}

    /// Checksums of the state it was in last and of every one since.
    std::vector<std::string> catchUp()
    {
        std::vector<std::string> states{checksum(m_document)};
        const std::vector<LogLine> log = SessionStore(m_path).readLog();
        REQUIRE(log.size() >= m_lines);
        for (; m_lines < log.size(); ++m_lines) {
            follow(log[m_lines]);
            states.push_back(checksum(m_document));
        }
        return states;
    }
    const Document& document() const { return m_document; }

private:
    void follow(const LogLine& line)
    {
        switch (line.kind) {
        case LogKind::Edit: {
            const auto step = std::make_shared<const Step>(line.body);
            applyInPlace(m_document, step->edit());
            m_history.did(step);
            break;
        }
        case LogKind::Undo:
            REQUIRE(m_history.toUndo());
            applyInPlace(m_document, reversed(m_history.toUndo()->edit()));
            m_history.undid();
            break;
        case LogKind::Redo:
            REQUIRE(m_history.toRedo());
            applyInPlace(m_document, m_history.toRedo()->edit());
            m_history.redid();
            break;
        case LogKind::PassedOver: applyInPlace(m_document, editOf(line.body)); break;
        }
    }
    std::filesystem::path m_path;
    Document m_document;
    History m_history;
    std::size_t m_lines = 0;
};

/// Number of crops that marks refer to; each is there and is what its name says.
std::size_t checkEvidence(const Document& document, const std::filesystem::path& path)
{
    EvidenceStore store(path);
    std::set<std::string> crops;
    for (const auto& [id, trial] : document.trials)
        for (const Reading& reading : trial->readings)
            for (const auto& mark : {reading.press, reading.response})
                if (mark)
                    crops.insert(
                        {mark->crops.lampBefore, mark->crops.lampAt, mark->crops.screenBefore, mark->crops.screenAt});
    crops.erase("");
    for (const std::string& crop : crops)
        REQUIRE(store.load(crop).has_value());
    return crops.size();
}

} // namespace

TEST_CASE("the window is killed again and again and nothing that it has shown is lost", "[crash]")
{
    // A thousand take half an hour: TALLYFRAME_KILLS=1000.
    bool isSet = false;
    const int asked = qEnvironmentVariableIntValue("TALLYFRAME_KILLS", &isSet), kills = isSet ? asked : 100;
    const QTemporaryDir temporary;
    REQUIRE(temporary.isValid());
    const auto path = makeSession(temporary.path().toStdString());
    Follower follower(path);
    std::mt19937_64 random(20261125);
    std::size_t changes = 0, ahead = 0, refusals = 0, crops = 0;
    for (int i = 0; i < kills; ++i) {
        const std::size_t wanted = random() % 10;
        const std::chrono::milliseconds after(random() % 60);
        const Life life = liveAndDie(path, random(), wanted, after);
        INFO("kill " << i << ", " << after.count() << " ms after change " << wanted);
        REQUIRE(WIFSIGNALED(life.status));
        REQUIRE(WTERMSIG(life.status) == SIGKILL);
        for (const std::string& told : life.told) {
            INFO(told);
            // Keys at random also try to accept a press that lies after its response.
            const bool refused = told.starts_with("problem The press of this trial ");
            REQUIRE(refused);
            refusals += refused;
        }

        // Everything shown is a state that the log has, in the order it was shown in.
        const std::vector<std::string> states = follower.catchUp();
        REQUIRE(life.shown.front() == states.front());
        auto place = states.begin();
        for (const std::string& shown : life.shown) {
            place = std::find(place, states.end(), shown);
            REQUIRE(place != states.end());
        }
        changes += life.shown.size() - 1;
        ahead += static_cast<std::size_t>(states.end() - place) - 1;

        // What is read is the state after the last line: the one shown last or one after it.
        REQUIRE(readSession(path) == follower.document());
        const auto session = OpenSession::open(path, {});
        REQUIRE_FALSE(session->readOnly()); // the lock of the dead is taken over
        REQUIRE(contradiction(session->latest()) == "");
        if (i % 10 == 9 || i + 1 == kills)
            crops = checkEvidence(session->latest(), path);
    }
    WARN(kills << " kills: " << changes << " changes were shown and are there, " << ahead << " more were written, "
               << refusals << " marks were refused; " << follower.document().trials.size() << " trials with " << crops
               << " crops");
    CHECK(changes > static_cast<std::size_t>(3 * kills)); // of those asked for
    CHECK(crops > 0);
}
