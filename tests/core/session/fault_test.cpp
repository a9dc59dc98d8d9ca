#include "core/analysis/blind_packet.h"
#include "core/error.h"
#include "core/media/index/footage.h"
#include "core/reading/make_mark.h"
#include "core/reading/new_capture.h"
#include "core/report/published_folder.h"
#include "core/session/durable_file.h"
#include "core/session/evidence_store.h"
#include "core/session/limits.h"
#include "core/session/open_session.h"
#include "core/session/packet_files.h"
#include "fault_disk.h"
#include "sample_document.h"
#include "session_listener.h"
#include "tests/footage/footage.h"
#include <QCryptographicHash>
#include <catch2/catch.hpp>
#include <set>
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

/// What a publish writes, of two states of a session.
std::vector<report::Product> products(int state)
{
    return {{"table.csv", QByteArray("configuration,mean\n").repeated(200 + state)},
            {"chart.svg", QByteArray(30'000, static_cast<char>('a' + state))}};
}

/// An evening in short, on a session with 24 trials: footage taken in, a trial read with its crops, undo and redo,
/// publishing, another name, publishing again over it, a packet with its footage, a reading in it, bringing it in. Says
/// "asked" with the checksum of each state before it is made and "safe" once it is on the disk; "told" is what the
/// program said. What goes wrong ends the part of the evening that it happens in.
class Evening {
public:
    Evening(fs::path folder, int pipe) : m_folder(std::move(folder)), m_pipe(pipe)
    {
        m_notices.failed = [this](const std::string& sentence, const auto&) { say(m_pipe, "told " + sentence); };
        m_notices.reported = [this](const std::string& sentence) { say(m_pipe, "told " + sentence); };
    }

    void live()
    {
        bool all = part([&] { m_session = OpenSession::open(m_folder / "bench.tallyframe", m_notices); });
        if (!all)
            return;
        for (void (Evening::*each)() :
             {&Evening::takeIn, &Evening::readTrial, &Evening::undoAndRedo, &Evening::publishFirst, &Evening::saveAs,
              &Evening::publishAgain, &Evening::handOut, &Evening::readPacket, &Evening::bringIn})
            all = part([&] { (this->*each)(); }) && all;
        if (all)
            say(m_pipe, "everything");
    }

private:
    template <class Do> bool part(Do action)
    {
        try {
            action();
            return true;
        } catch (const core::Error& error) {
            say(m_pipe, std::string("told ") + error.what());
            return false;
        }
    }
    const Document& now() const { return m_session->latest(); }

    void secure()
    {
        for (int i = 0; i < 3; ++i)
            if (part([&] { m_session->save(); }))
                return say(m_pipe, "safe " + m_name + " " + checksum(now()));
    }
    void ask(const Document& next) { say(m_pipe, "asked " + m_name + " " + checksum(next)); }
    void edit(Edit one)
    {
        ask(apply(now(), one));
        m_session->submit(std::move(one));
        secure();
    }

    void takeIn()
    {
        const fs::path film = m_folder / "film.mov";
        const auto footage = media::openFootage(film);
        NewCapture capture = reading::describeCapture(*footage, "film.mov", media::partsSha256({film}));
        capture.capture.name = "film";
        edit(addCaptures(now(), {capture}));
        m_capture = std::prev(now().captures.end())->first;
        edit(setRegion(now(), m_capture, {{}, RegionKind::Lamp, "Lamp", 4, 4, 12, 12}));
        edit(setRegion(now(), m_capture, {{}, RegionKind::Screen, "Panel", 40, 10, 40, 30}));
    }

    Mark markIn(EvidenceStore& evidence, std::int64_t frame)
    {
        const auto regions = find(now(), m_capture)->regions;
        return reading::makeMark({media::openFootage(m_folder / "film.mov"), {frame}, {}, {}, regions[0], regions[1]},
                                 evidence)
            .mark;
    }

    void readTrial()
    {
        if (!find(now(), m_capture))
            return;
        edit(addTrial(now(), m_capture, {}, {}, markIn(*m_session->evidence(), 3)));
        const TrialId trial = std::prev(now().trials.end())->first;
        edit(setMark(now(), trial, {}, MarkKind::Response, markIn(*m_session->evidence(), 7), "zoom 4"));
        edit(acceptReading(now(), trial, {}));
    }

    void undoAndRedo()
    {
        const Document before = now();
        edit(setTrialNote(now(), now().trials.begin()->first, "flicker from the left"));
        const Document after = now();
        ask(before);
        m_session->undo();
        secure();
        ask(after);
        m_session->redo();
        secure();
    }

    void publish(int state)
    {
        const auto written =
            report::PublishedFolder(m_folder / "out", "bench.tallyframe").write(products(state), false);
        for (const std::string& sentence : written.reports)
            say(m_pipe, "told " + sentence);
        say(m_pipe, "published " + std::to_string(state));
    }
    void publishFirst() { publish(1); }
    void publishAgain() { publish(2); }

    void saveAs()
    {
        m_session->saveAs(m_folder / "other.tallyframe");
        m_name = "other.tallyframe";
        ask(now());
        secure();
        edit(setTrialNote(now(), now().trials.begin()->first, "under another name"));
    }

    void handOut()
    {
        const analysis::BlindPacket made = analysis::blindPacket(now(), 0.5, 9, std::string(32, 'a'));
        writePacket(m_folder / "packet", made.document, {{m_folder / "film.mov", "footage/capture 1.mov"}});
        say(m_pipe, "packet");
        edit(handOutPacket(now(), made.record));
        m_handedOut = true;
    }

    void readPacket()
    {
        if (!m_handedOut)
            return;
        const auto packet = OpenSession::open(packetSession(m_folder / "packet"), m_notices);
        const TrialId trial = packet->latest().settings.reread->places.front().trial;
        Settings settings = packet->latest().settings;
        settings.reader = "B. Two";
        packet->submit(setSettings(packet->latest(), settings, "reader"));
        for (const auto& [kind, frame] : {std::pair(MarkKind::Press, 25), std::pair(MarkKind::Response, 90)}) {
            Mark mark = sample::mark(frame);
            mark.crops = {};
            mark.crops.lampAt =
                packet->evidence()->keep(std::vector<std::uint8_t>(3'000, static_cast<std::uint8_t>(frame)));
            packet->submit(markBlind(packet->latest(), trial, kind, mark, "zoom 2"));
        }
        packet->submit(acceptReading(packet->latest(), trial, find(packet->latest(), trial)->readings.front().id));
        packet->save();
        say(m_pipe, "packet-read");
        m_packetRead = true;
    }

    void bringIn()
    {
        if (!m_packetRead)
            return;
        const fs::path file = packetSession(m_folder / "packet");
        analysis::IncomingReadings incoming = analysis::incomingReadings(now(), readSession(file));
        takeCrops(file, *m_session->evidence(), incoming.readings);
        if (incoming.readings.empty())
            throw core::Error(core::ErrorKind::AtOdds, "The reading of the packet isn't in it.");
        edit(bringInReadings(now(), incoming.readings, incoming.reader));
    }

    const fs::path m_folder;
    const int m_pipe;
    OpenSession::Notices m_notices;
    std::unique_ptr<OpenSession> m_session;
    std::string m_name = "bench.tallyframe";
    CaptureId m_capture;
    bool m_handedOut = false, m_packetRead = false;
};

void makeFilm(const fs::path& path)
{
    footage::Spec film;
    film.scene.kind = footage::SceneKind::Pattern;
    film.camera.width = 96;
    film.camera.height = 54;
    film.camera.frames = 10;
    film.storage.codec = "mjpeg";
    film.storage.pixelFormat = "yuvj420p";
    film.storage.quality = 8;
    footage::make(film, path);
}

bool isDeath(fault::Kind kind)
{
    return kind == fault::Kind::Kill || kind == fault::Kind::PowerCut || kind == fault::Kind::PowerCutWithNames;
}

struct Life {
    std::map<std::string, std::vector<std::string>> asked; ///< checksums by file
    std::map<std::string, std::string> safe;
    int told = 0, status = 0;
    long calls = 0;
    std::string sentences; ///< all that was told
    int published = 0;     ///< state
    bool happened = false, packet = false, packetRead = false, everything = false;
};

Life live(const fs::path& folder, fault::Kind kind, long at)
{
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        ::close(ends[0]);
        fault::begin(kind, at, folder);
        Evening(folder, ends[1]).live();
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
        } else if (word == "published") {
            lines >> life.published;
        } else {
            std::getline(lines, rest);
            life.packet = life.packet || word == "packet";
            life.packetRead = life.packetRead || word == "packet-read";
            life.everything = life.everything || word == "everything";
            life.told += word == "told";
            life.sentences += word == "told" ? "\n  " + rest : std::string();
        }
    }
    return life;
}

QByteArray bytesOf(const fs::path& path) { return readFile(path, limits::fileBytes); }

void requirePacketWhole(const fs::path& folder, const Life& life)
{
    REQUIRE((fs::exists(folder / "packet") || !life.packet));
    if (!fs::exists(folder / "packet"))
        return;
    REQUIRE(bytesOf(folder / "packet/footage/capture 1.mov") == bytesOf(folder / "film.mov"));
    const Document packet = readSession(packetSession(folder / "packet"));
    REQUIRE(packet.trials.size() >= 20);
    if (life.packetRead)
        REQUIRE(packet.settings.reader == "B. Two");
}

/// Each product is whole, of one state or the other, and what was said to be published is there. The next publish takes
/// these files for the session's own; whatever else is there it takes away or names.
void requirePublishedWhole(const fs::path& folder, const Life& life)
{
    const fs::path out = folder / "out";
    for (const report::Product& product : products(1)) {
        const fs::path path = out / product.name;
        REQUIRE((fs::exists(path) || life.published == 0));
        if (!fs::exists(path))
            continue;
        const QByteArray bytes = bytesOf(path);
        bool whole = false;
        for (const int state : {1, 2})
            for (const report::Product& other : products(state))
                whole = whole || (state >= life.published && other.name == product.name && other.bytes == bytes);
        REQUIRE(whole);
    }
    const auto written = report::PublishedFolder(out, "bench.tallyframe").write(products(2), false);
    const std::set<std::string> expected = {"table.csv", "chart.svg", "checksums.txt"};
    INFO(Catch::Detail::stringify(written.reports));
    for (const fs::directory_entry& entry : fs::directory_iterator(out)) {
        const std::string name = entry.path().filename().string();
        INFO(name);
        // What isn't certain to be the program's own stays, and is named.
        const bool isNamed = std::ranges::any_of(
            written.reports, [&](const std::string& report) { return report.find(name) != std::string::npos; });
        REQUIRE((expected.contains(name) || isNamed));
    }
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
                for (const std::optional<Mark>& mark : {reading.press, reading.response})
                    if (mark && (find(session->latest(), trial->capture)->name == "film" || reading.reader == "B. Two"))
                        REQUIRE(session->evidence()->load(mark->crops.lampAt));
        while (session->undoLabel())
            session->undo();
    }
    requirePacketWhole(folder, life);
    requirePublishedWhole(folder, life);
}

} // namespace

TEST_CASE("whichever call to the disk goes wrong, nothing that was safe is lost", "[session][crash]")
{
    Folder folder;
    Document start = sample::withTrials(24);
    for (auto& [id, trial] : start.trials) { // the crops that they speak of are none
        Trial bare = *trial;
        bare.readings.front().press->crops = bare.readings.front().response->crops = {};
        trial = std::make_shared<const Trial>(std::move(bare));
    }
    SessionStore::write(folder / "begin.tallyframe", {start, {}});
    makeFilm(folder / "film.mov");
    const std::string beginning = checksum(start);
    const auto fresh = [&](const char* name) {
        const fs::path own = folder / name;
        fs::remove_all(own);
        fs::create_directory(own);
        fs::copy_file(folder / "begin.tallyframe", own / "bench.tallyframe");
        fs::copy_file(folder / "film.mov", own / "film.mov");
        return own;
    };
    const Life quiet = live(fresh("quiet"), fault::Kind::None, 0);
    INFO(quiet.sentences);
    REQUIRE(quiet.everything);
    REQUIRE(quiet.told == 0);
    requireNothingLost(folder / "quiet", quiet, beginning);

    // Every call, or as many as the patience of those who wait for the tests.
    const bool everyCall = qEnvironmentVariableIsSet("TALLYFRAME_EVERY_FAULT");
    const long stride = everyCall ? 1 : std::max(1L, quiet.calls / 10);
    const std::pair<fault::Kind, const char*> kinds[] = {{fault::Kind::Io, "EIO"},
                                                         {fault::Kind::Full, "full"},
                                                         {fault::Kind::StaysFull, "stays full"},
                                                         {fault::Kind::Short, "short write"},
                                                         {fault::Kind::Sync, "failed sync"},
                                                         {fault::Kind::Kill, "kill"},
                                                         {fault::Kind::PowerCut, "power cut"},
                                                         {fault::Kind::PowerCutWithNames, "power cut with names"}};
    for (const auto& [kind, name] : kinds)
        DYNAMIC_SECTION(name) // several can be tested side by side
        {
            int injected = 0, told = 0;
            for (long at = 1 + stride / 2; at <= quiet.calls; at += stride) {
                const fs::path own = fresh("life");
                const Life life = live(own, kind, at);
                INFO(name << " at call " << at << " of " << quiet.calls << ": " << life.sentences);
                REQUIRE(WIFEXITED(life.status));
                const bool died = WEXITSTATUS(life.status) == 9;
                REQUIRE((WEXITSTATUS(life.status) == 0 || (died && isDeath(kind))));
                requireNothingLost(own, life, beginning);
                // What goes wrong is told, unless all came to a good end in spite of it.
                REQUIRE((died || life.told > 0 || life.everything));
                injected += life.happened || died;
                told += life.told > 0;
            }
            CHECK(injected > 0);
            WARN(name << ": " << quiet.calls << " calls to the disk, " << injected << " went wrong, "
                      << (isDeath(kind) ? std::string() : std::to_string(told) + " times it was told, ") << "0 losses");
        }
}
