// Real footage goes every way that the table of ui/footage/known_footage.h has, and is closed in each state.
#include "core/session/session_store.h"
#include "tests/footage/run_program.h"
#include "tests/gui/desk_bench.h"
#include "tests/watched_disk.h"
#include "ui/desk/captures.h"
#include "ui/desk/source_changes.h"

#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <limits>
#include <optional>
#include <thread>

namespace {

namespace fs = std::filesystem;
using enum ui::FootageState;
using States = std::vector<ui::FootageState>;

constexpr double walkPatience = 20; // s; a loaded machine is slow, broken footage never comes

void makeFilm(const fs::path& path, int frames = 120, std::uint64_t seed = 1, std::vector<int> missing = {})
{
    footage::Spec spec;
    spec.seed = seed;
    spec.camera.width = 160;
    spec.camera.height = 90;
    spec.camera.frames = frames;
    spec.camera.missing = std::move(missing);
    spec.storage.gop = 30;
    spec.storage.preset = "ultrafast";
    spec.storage.quality = 5;
    footage::make(spec, path);
}

/// A film of intra pictures, three of which have a packet but no picture.
void makeFilmWithDeadPackets(const fs::path& path)
{
    makeFilm(path.parent_path() / "whole.mp4");
    footage::runProgram("ffmpeg", "ffmpeg",
                        {"-y", "-i", (path.parent_path() / "whole.mp4").string(), "-c:v", "mjpeg", path.string()},
                        path.parent_path() / "log.txt");
    std::ifstream file(path, std::ios::binary);
    std::string bytes{std::istreambuf_iterator<char>(file), {}};
    std::size_t at = 0;
    for (int picture = 0; (at = bytes.find("\xff\xd8\xff", at)) != std::string::npos; ++picture, at += 3)
        if (picture == 20 || picture == 50 || picture == 51)
            std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(at), 400, '\0');
    std::ofstream(path, std::ios::binary) << bytes;
}

/// The desk with its captures, and the states that the first film comes to.
class Walk {
    std::optional<ui::FootageState> m_last; // all of these until the window is gone
    States m_seen;
    bool m_holdsDecoding = false;
    std::atomic<std::int64_t> m_from = 0, m_to = 0;

public:
    explicit Walk(const std::string& film = "film.mp4") : path(bench.path(film)), file(bench.folder / film)
    {
        captures = bench.window->findChild<ui::Captures*>();
        REQUIRE(captures);
        QObject::connect(captures, &ui::Captures::changed, bench.pool.get(), [this] { note(); });
    }
    ~Walk() { let(); }
    Walk(const Walk&) = delete;
    Walk& operator=(const Walk&) = delete;

    void newSession()
    {
        const QString before = bench.model->path();
        bench.model->newDraft();
        waitFor([&] { return bench.model->path() != before && bench.model->phase() == ui::SessionModel::Phase::Open; });
    }
    static void waitFor(const std::function<bool()>& holds) { DeskBench::waitFor(holds, walkPatience); }
    void waitFor(ui::FootageState state) const
    {
        waitFor([&] { return known() && known()->state() == state && !bench.model->pending(); });
    }
    void waitForChecksum() const
    {
        waitFor([&] { return !capture().sha256.empty(); });
    }
    void retry() const { captures->retry(capture()); }
    void edit(const std::function<void(session::Capture&)>& change) const
    {
        REQUIRE(bench.model->edit([&](const session::Document& latest) {
            session::Capture changed = *session::inOrder(latest.captures).front();
            change(changed);
            return session::setCapture(latest, changed, "change");
        }));
    }
    const session::Capture& capture() const { return *session::inOrder(bench.document()->captures).front(); }
    const ui::KnownFootage* known() const { return bench.pool->find(path); }
    States take() { return std::exchange(m_seen, {}); } ///< since it was asked last

    /// From the moment the film is scanned; what is read of its beginning and its end isn't its pictures.
    void holdDecoding() { m_holdsDecoding = true; }
    void holdAll() { m_from = 0, m_to = std::numeric_limits<std::int64_t>::max(); } ///< what is read from here on waits
    void let() { m_holdsDecoding = false, m_from = m_to = 0; }

    DeskBench bench{[this](ui::FootagePool& pool) { // before the captures hear of it
        QObject::connect(&pool, &ui::FootagePool::stateChanged, &pool, [this] { note(); });
    }};
    const QString path;
    const fs::path file;
    ui::Captures* captures = nullptr;

private:
    void note()
    {
        const auto now = known() ? std::optional(known()->state()) : std::nullopt;
        if (std::exchange(m_last, now) == now || !now)
            return;
        m_seen.push_back(*now);
        constexpr std::int64_t beside = 1 << 16;
        if (m_holdsDecoding && *now == Scanned) {
            m_to = std::int64_t(fs::file_size(file)) - beside;
            m_from = beside;
            REQUIRE(m_from < m_to);
        }
    }
    bool isHeld(std::int64_t position) const { return position >= m_from && position < m_to; }

    WatchedDisk m_disk{bench.folder.path(), [this](std::int64_t position) {
                           while (isHeld(position))
                               std::this_thread::sleep_for(std::chrono::milliseconds(1));
                       }};
};

} // namespace

TEST_CASE("dropped footage is found, scanned, viewable, confirmed; it goes by undo and comes back by redo",
          "[captures]")
{
    Walk walk;
    makeFilm(walk.file);
    walk.holdDecoding();
    walk.bench.drop({walk.path});
    walk.waitFor(Viewable);
    CHECK(walk.take() == States{Found, Scanned, Viewable});
    walk.let();
    walk.waitFor(Confirmed);
    CHECK(walk.take() == States{Confirmed});
    walk.bench.model->undo();
    Walk::waitFor([&] { return !walk.known(); });
    walk.bench.model->redo();
    walk.waitFor(Confirmed);
    CHECK(walk.take() == States{Found, Scanned, Viewable, Confirmed});
    CHECK(walk.bench.problems().isEmpty());
}

TEST_CASE("footage whose index was kept is confirmed as soon as it is scanned", "[captures]")
{
    Walk walk;
    makeFilm(walk.file);
    walk.bench.pool->setIndexFolder(walk.bench.path("indexes"));
    walk.bench.drop({walk.path});
    walk.waitFor(Confirmed);
    walk.take();
    walk.retry();
    walk.waitFor(Confirmed);
    CHECK(walk.take() == States{Found, Scanned, Confirmed});
}

TEST_CASE("footage that is gone, broken or another is told from what was added, and found again", "[captures]")
{
    Walk walk;
    makeFilm(walk.file);
    walk.bench.drop({walk.path});
    walk.waitFor(Confirmed);
    walk.waitForChecksum();
    ui::FootageState wrong = Absent;
    States way{Found, Absent};
    const auto putThere = [&](const std::function<void()>& make) {
        fs::rename(walk.file, walk.bench.folder / "kept.mp4");
        make();
    };
    SECTION("gone")
    {
        putThere([] {});
    }
    SECTION("broken")
    {
        putThere([&] { std::ofstream(walk.file) << "no film at all"; });
        wrong = Failed;
        way = {Found, Failed};
    }
    SECTION("another, of other frames")
    {
        putThere([&] { makeFilm(walk.file, 90, 2); });
        wrong = Changed;
        way = {Found, Scanned, Changed};
    }
    SECTION("another, of as many frames, with other stamps")
    {
        putThere([&] { makeFilm(walk.file, 121, 2, {50}); });
        wrong = Changed;
        way = {Found, Scanned, Viewable, Confirmed, Changed};
    }
    const session::Capture before = walk.capture();
    walk.take();
    walk.retry();
    walk.waitFor(wrong);
    CHECK(walk.take() == way);
    CHECK(walk.known()->sentence.contains(QStringLiteral("film.mp4")));
    CHECK_FALSE(walk.captures->usable(walk.capture()));
    CHECK(walk.capture() == before); // nothing of another film goes into the session
    fs::rename(walk.bench.folder / "kept.mp4", walk.file);
    walk.retry();
    walk.waitFor(Confirmed);
    CHECK(walk.take() == States{Found, Scanned, Viewable, Confirmed});
    CHECK(walk.captures->usable(walk.capture()));
    CHECK(walk.bench.problems().isEmpty());
}

TEST_CASE("another film in the place of one whose checksum nobody knows isn't taken for it", "[captures]")
{
    Walk walk;
    makeFilm(walk.file);
    walk.bench.drop({walk.path});
    walk.waitFor(Confirmed);
    walk.waitForChecksum();
    session::Document early = *walk.bench.document(); // as when the program ends before the checksum is there
    session::Capture capture = walk.capture();
    capture.sha256.clear();
    early.captures.begin()->second = std::make_shared<const session::Capture>(capture);
    session::SessionStore::write(walk.bench.folder / "early.tallyframe", {early, {}});
    fs::rename(walk.file, walk.bench.folder / "kept.mp4");
    makeFilm(walk.file, 90, 2);
    walk.take();
    walk.bench.model->open(walk.bench.path("early.tallyframe"));
    walk.waitFor(Changed);
    CHECK(walk.take() == States{Found, Scanned, Changed});
    Walk::waitFor([&] { return !walk.known()->inSession.sha256.empty(); });
    CHECK(walk.capture() == capture);
    fs::rename(walk.bench.folder / "kept.mp4", walk.file);
    walk.retry();
    walk.waitFor(Confirmed);
    CHECK(walk.take() == States{Found, Scanned, Viewable, Confirmed});
    walk.waitForChecksum();
    CHECK(walk.capture().frames.value == 120);
    CHECK(walk.bench.problems().isEmpty());
}

TEST_CASE("footage is opened anew while it waits to be confirmed", "[captures]")
{
    Walk walk;
    makeFilm(walk.file);
    walk.bench.drop({walk.path});
    walk.waitFor(Confirmed);
    walk.waitForChecksum();
    const ui::FootageState state = GENERATE(Scanned, Viewable);
    CAPTURE(int(state));
    walk.holdDecoding();
    if (state == Scanned) {
        fs::rename(walk.file, walk.bench.folder / "kept.mp4");
        makeFilm(walk.file, 90, 2);
    }
    walk.retry();
    walk.waitFor(state);
    if (state == Scanned)
        fs::rename(walk.bench.folder / "kept.mp4", walk.file);
    walk.take();
    walk.let();
    walk.retry();
    walk.waitFor(Confirmed);
    CHECK(walk.take() == States{Found, Scanned, Viewable, Confirmed});
    CHECK(walk.bench.problems().isEmpty());
}

TEST_CASE("what the session remembers decides whether footage is what was added, undone and redone too", "[captures]")
{
    Walk walk;
    makeFilm(walk.file);
    walk.holdDecoding();
    walk.bench.drop({walk.path});
    walk.waitFor(Viewable);
    walk.take();
    SECTION("another size")
    {
        walk.edit([](session::Capture& capture) { capture.width += 2; });
        walk.waitFor(Changed);
        CHECK(walk.known()->sentence.contains(QStringLiteral("160 x 90")));
        walk.bench.model->undo();
        walk.waitFor(Viewable);
        CHECK(walk.take() == States{Changed, Viewable});
        walk.let();
        walk.waitFor(Confirmed);
        walk.bench.model->redo();
        walk.waitFor(Changed);
        walk.bench.model->undo();
        walk.waitFor(Confirmed);
        CHECK(walk.take() == States{Confirmed, Changed, Confirmed});
    }
    SECTION("another checksum")
    {
        walk.edit([](session::Capture& capture) { capture.sha256 = std::string(64, 'a'); });
        walk.let();
        walk.waitFor(Changed);
        CHECK(walk.take() == States{Confirmed, Changed});
        CHECK(walk.known()->sentence.contains(QStringLiteral("checksum")));
    }
    CHECK(walk.bench.problems().isEmpty());
}

TEST_CASE("the session follows where decoding finds other frames, and again when undo brings back the old ones",
          "[captures]")
{
    Walk walk("film.avi");
    makeFilmWithDeadPackets(walk.file);
    walk.holdDecoding();
    walk.bench.drop({walk.path});
    walk.waitFor(Viewable);
    REQUIRE(walk.capture().frames.value == 120);
    walk.edit([](session::Capture& capture) { capture.name = "first"; });
    Walk::waitFor([&] { return !walk.bench.model->pending(); });
    walk.take();
    walk.let();
    walk.waitFor(Confirmed);
    CHECK(walk.take() == States{Scanned, Confirmed});
    CHECK(walk.capture().frames.value == 117);
    walk.bench.model->undo(); // the name, and the numbers that came after it
    Walk::waitFor([&] { return walk.capture().name != "first" && walk.capture().frames.value == 117; });
    walk.waitFor(Confirmed);
    CHECK(walk.take() == States{Scanned, Confirmed});
}

TEST_CASE("undone and redone, footage with other frames than its packets tell is what was added", "[captures]")
{
    Walk walk("film.avi");
    if (GENERATE(false, true))
        walk.bench.pool->setIndexFolder(walk.bench.path("indexes"));
    makeFilmWithDeadPackets(walk.file);
    walk.bench.drop({walk.path});
    Walk::waitFor([&] { return walk.capture().frames.value == 117 && walk.known()->state() == Confirmed; });
    walk.waitForChecksum();
    walk.bench.model->undo();
    Walk::waitFor([&] { return !walk.known(); });
    walk.bench.model->redo();
    Walk::waitFor([&] { return !walk.bench.document()->captures.empty() && walk.capture().frames.value == 117; });
    walk.waitFor(Confirmed);
    CHECK(walk.captures->usable(walk.capture()));
}

TEST_CASE("joined footage is opened anew, and what was found of it holds for nothing else", "[captures]")
{
    Walk walk("clip1.mp4");
    makeFilm(walk.file, 120, 1);
    makeFilm(walk.bench.folder / "clip2.mp4", 120, 2);
    walk.bench.drop({walk.path, walk.bench.path("clip2.mp4")});
    walk.waitFor(Confirmed);
    walk.waitForChecksum();
    const session::Capture alone = walk.capture();
    walk.take();
    ui::SourceChanges changes(*walk.bench.model);
    changes.joinNext(alone.id);
    SECTION("and confirmed")
    {
        Walk::waitFor([&] { return walk.bench.document()->captures.size() == 1; });
        walk.waitFor(Confirmed);
        walk.waitForChecksum();
        CHECK(walk.take() == States{Found, Scanned, Viewable, Confirmed});
    }
    SECTION("undone while it is decoded")
    {
        walk.holdDecoding();
        Walk::waitFor([&] { return walk.bench.document()->captures.size() == 1; });
        walk.waitFor(Viewable);
    }
    walk.bench.model->undo();
    Walk::waitFor([&] { return walk.bench.document()->captures.size() == 2; });
    walk.let();
    walk.waitFor(Confirmed);
    CHECK(walk.capture() == alone);
    CHECK(walk.bench.pool->footage(walk.path)->frameCount() == alone.frames);
    CAPTURE(walk.bench.problems().join(QLatin1Char('\n')).toStdString());
    CHECK(walk.bench.problems().isEmpty());
}

TEST_CASE("footage is closed in any state, and nothing of it comes later", "[captures]")
{
    Walk walk;
    makeFilm(walk.file);
    const ui::FootageState state = GENERATE(Found, Scanned, Viewable, Confirmed, Absent, Changed, Failed);
    CAPTURE(int(state));
    walk.bench.drop({walk.path});
    walk.waitFor(Confirmed);
    walk.waitForChecksum();
    switch (state) {
    case Found: walk.holdAll(); break;
    case Viewable: walk.holdDecoding(); break;
    case Scanned: // its decoding, held up, may yet tell that it is what was added
        walk.holdDecoding();
        makeFilm(walk.file, 90, 2);
        break;
    case Changed: makeFilm(walk.file, 90, 2); break;
    case Absent: fs::remove(walk.file); break;
    case Failed: std::ofstream(walk.file) << "no film at all"; break;
    case Confirmed: break;
    }
    walk.retry();
    walk.waitFor(state);
    walk.newSession();
    CHECK_FALSE(walk.known());
    walk.let();
    QTest::qWait(200);
    CHECK_FALSE(walk.known());
    CHECK(walk.bench.document()->captures.empty());
    CHECK(walk.bench.problems().isEmpty());
}
