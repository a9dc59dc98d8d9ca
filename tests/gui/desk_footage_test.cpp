// Footage that isn't taken in, is gone, is another file, or waits in a session without a name.
#include "tests/footage/run_program.h"
#include "core/session/evidence_store.h"
#include "tests/gui/desk_bench.h"
#include "tests/watched_disk.h"
#include "ui/desk/capture_list.h"
#include "ui/desk/frame_message.h"
#include "ui/desk/incoming_footage_row.h"
#include "ui/desk/trial_list.h"
#include "ui/controls/row_list.h"
#include "ui/model/drafts.h"
#include "ui/model/window_memory.h"

#include <QAbstractButton>
#include <QDir>
#include <QElapsedTimer>
#include <QFile>
#include <QFileDialog>
#include <QMenu>
#include <QMessageBox>
#include <QStandardPaths>
#include <QTest>
#include <QTimer>
#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <thread>

namespace fs = std::filesystem;
using namespace std::chrono_literals;

namespace {

template <class T> T& only(QWidget& in)
{
    const auto all = in.findChildren<T*>();
    REQUIRE(all.size() == 1);
    return *all.front();
}

void write(const fs::path& path, const std::string& bytes) { std::ofstream(path, std::ios::binary) << bytes; }

const session::Capture& onlyCapture(const DeskBench& bench)
{
    REQUIRE(bench.document()->captures.size() == 1);
    return *bench.document()->captures.begin()->second;
}

QString cue(const DeskBench& bench)
{
    return bench.window->findChild<ui::FrameMessage*>(QStringLiteral("cue"))->sentence();
}

/// The word at the right end of a capture's row, where it says "relink".
void clickRelink(const DeskBench& bench)
{
    QListWidget& list = only<QListWidget>(only<ui::CaptureList>(*bench.window));
    const QRect row = list.visualItemRect(list.item(0));
    QTest::mouseClick(list.viewport(), Qt::LeftButton, Qt::NoModifier, QPoint(row.right() - 30, row.center().y()));
}

QFileDialog* fileDialog(const DeskBench& bench)
{
    QFileDialog* dialog = nullptr;
    DeskBench::waitFor([&] { return (dialog = bench.window->findChild<QFileDialog*>()) != nullptr; });
    return dialog;
}

void press(const QDialog& dialog, const char* button)
{
    for (QAbstractButton* each : dialog.findChildren<QAbstractButton*>())
        if (each->text().remove(QLatin1Char('&')).contains(QLatin1String(button)))
            return QTest::mouseClick(each, Qt::LeftButton);
    FAIL("there is no button " << button);
}

/// Answers the question where the footage is now.
void choose(const DeskBench& bench, const QString& path)
{
    QFileDialog* dialog = fileDialog(bench);
    dialog->selectFile(path);
    press(*dialog, "Open");
    DeskBench::waitFor([&] { return !bench.window->findChild<QFileDialog*>(); });
    bench.window->activateWindow(); // the window manager's part
    REQUIRE(QTest::qWaitForWindowActive(bench.window.get()));
}

/// Takes an entry of the menu of the capture on the desk, in the sub-menu of that name if there is one.
void chooseInCaptureMenu(const DeskBench& bench, const QString& subMenu, const QString& entry)
{
    QMenu* found = nullptr;
    for (QMenu* menu : bench.window->findChildren<QMenu*>())
        if (menu->title().contains(QLatin1String("his capture")))
            found = menu;
    REQUIRE(found);
    emit found->aboutToShow();
    const auto plain = [](const QAction* action) { return action->text().remove(QLatin1Char('&')); };
    QList<QAction*> actions = found->actions();
    if (!subMenu.isEmpty())
        for (QAction* action : found->actions())
            if (plain(action) == subMenu && action->menu())
                actions = action->menu()->actions();
    for (QAction* action : std::as_const(actions))
        if (plain(action).contains(entry)) {
            REQUIRE(action->isEnabled());
            action->trigger();
            return;
        }
    FAIL("there is no " << entry.toStdString() << " in the menu");
}

/// A named session beside its film, with one trial read in it, started again after `change` was done to the film.
struct ReturnBench : DeskBench {
    explicit ReturnBench(const std::function<void(const fs::path& film)>& change)
    {
        const footage::Truth truth = film("run.mp4");
        drop({path("run.mp4")});
        drawRegions(truth);
        addConfigurations({"direct"});
        right(40);
        key(Qt::Key_F);
        right(12);
        key(Qt::Key_R);
        key(Qt::Key_Return);
        settle();
        waitFor([&] { return !onlyCapture(*this).sha256.empty(); });
        REQUIRE(model->saveAs(path("bench.tallyframe")));
        settle();
        change(folder / "run.mp4");
        restart(path("bench.tallyframe"));
    }
    bool markable() const { return pool->isOpen(model->footagePath(onlyCapture(*this))); }
    /// What F does now.
    QString markPress()
    {
        key(Qt::Key_F);
        settle();
        return cue(*this);
    }
    /// Until the marked picture has been compared, F says that the footage is being opened.
    void untilMarked()
    {
        const std::size_t before = trials("run").size();
        key(Qt::Key_Escape);
        waitFor([&] {
            markPress();
            return trials("run").size() > before;
        });
    }
    void untilMarkable()
    {
        untilMarked();
        key(Qt::Key_Z, Qt::ControlModifier);
        settle();
    }
};

} // namespace

TEST_CASE("what isn't footage is refused in one sentence each, and the rest goes in", "[desk][footage]")
{
    DeskBench bench;
    bench.film("run.mp4");
    fs::copy_file(bench.folder / "run.mp4", bench.folder / "same bytes.mp4");
    write(bench.folder / "empty.mp4", "");
    write(bench.folder / "letter.mp4", "Dear camera, these are only words.\n");
    write(bench.folder / "list.mp4", "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nrun.mp4\n");
    fs::create_directory(bench.folder / "nothing");
    bench.offer({bench.path("run.mp4"), bench.path("same bytes.mp4"), bench.path("empty.mp4"), bench.path("letter.mp4"),
                 bench.path("list.mp4"), bench.path("nothing"), bench.path("gone.mp4")});
    DeskBench::waitFor([&] { return bench.problems().size() == 6 && bench.document()->captures.size() == 1; }, 60);
    const QString all = bench.problems().join(QLatin1Char('\n'));
    INFO(all.toStdString());
    for (const char* name : {"same bytes.mp4", "empty.mp4", "letter.mp4", "list.mp4", "nothing", "gone.mp4"}) {
        int named = 0;
        for (const QString& problem : bench.problems()) {
            CHECK(problem.endsWith(QLatin1Char('.')));
            named += problem.contains(QLatin1String(name));
        }
        CHECK(named == 1);
    }
    CHECK(onlyCapture(bench).name == "run");
    CHECK(only<ui::CaptureList>(*bench.window).findChildren<ui::IncomingFootageRow*>().isEmpty());
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(bench.document()->captures.empty());
}

TEST_CASE("footage on its way in is cancelled by its button, and leaves nothing", "[desk][footage]")
{
    DeskBench bench;
    bench.film("run.mp4");
    std::atomic<bool> stuck = true;
    const WatchedDisk disk(bench.folder / "run.mp4", [&](std::int64_t) {
        while (stuck)
            std::this_thread::sleep_for(1ms);
    });
    bench.offer({bench.path("run.mp4")});
    ui::IncomingFootageRow* row = nullptr;
    DeskBench::waitFor([&] { return (row = bench.window->findChild<ui::IncomingFootageRow*>()) && row->isVisible(); });
    QTest::mouseClick(row->findChild<QAbstractButton*>(), Qt::LeftButton);
    DeskBench::waitFor([&] { return !bench.pool->find(bench.path("run.mp4")); });
    stuck = false;
    QTest::qWait(100);
    CHECK(bench.document()->captures.empty());
    CHECK(bench.problems().isEmpty());
    for (const ui::IncomingFootageRow* left : bench.window->findChildren<ui::IncomingFootageRow*>())
        CHECK_FALSE(left->isVisible());
}

TEST_CASE("the first picture doesn't wait for the checksum, which undo passes over", "[desk][footage]")
{
    DeskBench bench;
    bench.film("run.mp4");
    // A box that players pass over: its checksum takes long.
    const auto film = fs::file_size(bench.folder / "run.mp4");
    constexpr std::uint32_t padding = 1u << 25;
    {
        std::ofstream file(bench.folder / "run.mp4", std::ios::binary | std::ios::app);
        file.write("\x02\x00\x00\x00"
                   "free",
                   8);
    }
    fs::resize_file(bench.folder / "run.mp4", film + padding);
    std::int64_t readUntilShown = 0;
    {
        const WatchedDisk disk(bench.folder / "run.mp4");
        bench.drop({bench.path("run.mp4")});
        DeskBench::waitFor([&] { return bool(bench.pool->picture(bench.path("run.mp4"), {0})); });
        readUntilShown = disk.bytes();
    }
    CHECK(readUntilShown < padding / 2);
    const std::string name = onlyCapture(bench).name;
    bench.addConfigurations({"direct"});
    DeskBench::waitFor([&] { return !onlyCapture(bench).sha256.empty(); }, 120);
    CHECK(onlyCapture(bench).sha256 == media::partsSha256({bench.folder / "run.mp4"}));
    const auto state = [&] { return bench.pool->find(bench.path("run.mp4"))->state(); };
    CHECK(state() == ui::FootageState::Confirmed);
    bench.key(Qt::Key_Z, Qt::ControlModifier); // the configuration, not the checksum
    bench.settle();
    CHECK(bench.document()->configurations.empty());
    CHECK(onlyCapture(bench).sha256 == media::partsSha256({bench.folder / "run.mp4"}));
    bench.key(Qt::Key_Z, Qt::ControlModifier); // the capture, as it was added
    bench.settle();
    CHECK(bench.document()->captures.empty());
    bench.key(Qt::Key_Y, Qt::ControlModifier);
    bench.settle();
    CHECK(onlyCapture(bench).name == name);
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("of ten files dropped at once a stuck, a broken and a slow one hold up none of the others", "[desk][footage]")
{
    DeskBench bench;
    QStringList dropped;
    for (int i = 0; i < 10; ++i) {
        const std::string name = "film" + std::to_string(i) + ".mp4";
        bench.film(name, static_cast<std::uint64_t>(i + 1));
        dropped << bench.path(name);
    }
    write(bench.folder / "film1.mp4", "no film at all");
    std::atomic<bool> stuck = true;
    const WatchedDisk disk(bench.folder / "film0.mp4", [&](std::int64_t) {
        while (stuck)
            std::this_thread::sleep_for(1ms);
    });
    bench.offer(dropped);
    DeskBench::waitFor([&] { return bench.document()->captures.size() == 8; }, 60);
    CHECK(bench.problems().size() == 1);
    DeskBench::waitFor([&] { return bool(bench.pool->picture(bench.path("film2.mp4"), {0})); });
    std::vector<std::string> names;
    for (const session::Capture* capture : session::inOrder(bench.document()->captures))
        names.push_back(capture->name);
    CHECK(std::is_sorted(names.begin(), names.end())); // in the order given
    stuck = false;
    DeskBench::waitFor([&] { return bench.document()->captures.size() == 9; }, 60);
    DeskBench::waitFor([&] { return !bench.model->pending(); });
    CHECK(session::inOrder(bench.document()->captures).back()->name == "film0");
}

TEST_CASE("footage that is gone keeps its marks and crops, and is found again by relinking", "[desk][footage]")
{
    ReturnBench bench([](const fs::path& film) {
        fs::create_directory(film.parent_path() / "archive");
        fs::rename(film, film.parent_path() / "archive" / "renamed.mp4");
    });
    DeskBench::waitFor([&] {
        const ui::KnownFootage* known = bench.pool->find(bench.path("run.mp4"));
        return known && known->state() == ui::FootageState::Absent;
    });
    CHECK(bench.trials("run").size() == 1);
    CHECK(bench.markPress().contains(QLatin1String("run.mp4")));
    CHECK(bench.trials("run").size() == 1);
    const session::Reading& reading = bench.trial(1).readings.front();
    CHECK((reading.response->frame - reading.press->frame).value == 12);
    for (const std::string& crop : {reading.press->crops.lampBefore, reading.press->crops.lampAt,
                                    reading.response->crops.screenBefore, reading.response->crops.screenAt})
        CHECK(bench.model->evidence()->load(crop));

    SECTION("the same bytes elsewhere")
    {
        clickRelink(bench);
        choose(bench, bench.path("archive/renamed.mp4"));
        DeskBench::waitFor([&] { return bench.markable(); });
        CHECK(onlyCapture(bench).path == "archive/renamed.mp4");
        bench.right(200);
        bench.untilMarked();
        bench.key(Qt::Key_Z, Qt::ControlModifier);
        bench.key(Qt::Key_Z, Qt::ControlModifier);
        bench.settle();
        CHECK(onlyCapture(bench).path == "run.mp4");
    }
    SECTION("another film is refused, and says why")
    {
        bench.film("other.mp4", 7);
        clickRelink(bench);
        choose(bench, bench.path("other.mp4"));
        DeskBench::waitFor([&] {
            return cue(bench).contains(QLatin1String("other.mp4"))
                   || bench.problems().join(QLatin1Char(' ')).contains(QLatin1String("other.mp4"));
        });
        CHECK(onlyCapture(bench).path == "run.mp4");
        CHECK_FALSE(bench.markable());
    }
}

TEST_CASE("footage that lies elsewhere below the session's folder is found without a word", "[desk][footage]")
{
    ReturnBench bench([](const fs::path& film) {
        fs::create_directories(film.parent_path() / "archive/2026");
        fs::rename(film, film.parent_path() / "archive/2026/run.mp4");
    });
    DeskBench::waitFor([&] { return bench.markable(); });
    CHECK(onlyCapture(bench).path == "archive/2026/run.mp4");
    bench.right(200);
    bench.untilMarked();
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("other bytes with the same stamps and marked pictures are offered, and linked when they are taken",
          "[desk][footage]")
{
    ReturnBench bench([](const fs::path& film) {
        footage::runProgram("ffmpeg", "ffmpeg",
                            {"-y", "-i", film.string(), "-c", "copy", (film.parent_path() / "again.mkv").string()},
                            film.parent_path() / "log.txt");
        fs::remove(film);
    });
    DeskBench::waitFor([&] {
        const ui::KnownFootage* known = bench.pool->find(bench.path("run.mp4"));
        return known && known->state() == ui::FootageState::Absent;
    });
    const session::Capture before = onlyCapture(bench);
    clickRelink(bench);
    choose(bench, bench.path("again.mkv"));
    const auto question = [&] { return bench.window->findChild<QMessageBox*>(QStringLiteral("linkQuestion")); };
    DeskBench::waitFor([&] { return question() != nullptr; });
    CHECK(question()->text().contains(QLatin1String("all 2 marked pictures are the same")));
    CHECK(onlyCapture(bench) == before);
    SECTION("no")
    {
        press(*question(), "Leave");
        DeskBench::waitFor([&] { return !question(); });
        bench.settle();
        CHECK(onlyCapture(bench) == before);
    }
    SECTION("yes")
    {
        press(*question(), "Link");
        DeskBench::waitFor([&] { return bench.markable(); });
        CHECK(onlyCapture(bench).path == "again.mkv");
        CHECK(onlyCapture(bench).sha256 == media::partsSha256({bench.folder / "again.mkv"}));
        CHECK(bench.trial(1).readings.front().press->frame.value == 40);
    }
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("another film under the old name isn't marked in", "[desk][footage]")
{
    ReturnBench bench([](const fs::path& film) {
        fs::remove(film);
        footage::Spec spec;
        spec.seed = 99;
        spec.camera.width = 320;
        spec.camera.height = 180;
        spec.camera.frames = 560;
        spec.storage.preset = "ultrafast";
        footage::make(spec, film);
    });
    DeskBench::waitFor([&] { return bench.markable(); });
    // Frames and size are as before: the marked picture tells at once, the checksum later.
    DeskBench::waitFor([&] { return bench.markPress().contains(QLatin1String("isn't the f")); });
    CHECK(bench.trials("run").size() == 1);
    CHECK(bench.trial(1).readings.front().press->frame.value == 40);
}

TEST_CASE("files that the camera split are joined to one capture, and undo takes them apart", "[desk][footage]")
{
    DeskBench bench;
    const footage::Truth truth = bench.film("clip1.mp4");
    bench.film("clip2.mp4", 2);
    bench.drop({bench.path("clip1.mp4"), bench.path("clip2.mp4")});
    const auto frames = static_cast<std::int64_t>(truth.frames.size());
    bench.desk().showCapture(session::inOrder(bench.document()->captures).front()->id);
    bench.settle();
    chooseInCaptureMenu(bench, {}, QStringLiteral("Join with clip2"));
    DeskBench::waitFor([&] { return bench.document()->captures.size() == 1; });
    const session::Capture joined = onlyCapture(bench);
    CHECK(joined.frames.value > frames);
    REQUIRE(joined.furtherParts.size() == 1);
    CHECK(joined.furtherParts[0].firstFrame.value == frames);
    DeskBench::waitFor([&] {
        const auto footage = bench.pool->footage(bench.model->footagePath(onlyCapture(bench)));
        return footage && footage->frameCount() == onlyCapture(bench).frames;
    });
    // A trial across the seam has no delay where nobody knows how many frames are missing.
    CHECK(joined.unknown.size() == (joined.furtherParts[0].gapKnown ? 0u : 1u));
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(bench.document()->captures.size() == 2);
    DeskBench::waitFor([&] {
        const auto footage = bench.pool->footage(bench.path("clip1.mp4"));
        return footage && footage->frameCount().value == frames;
    });
    CAPTURE(bench.problems().join(QLatin1Char('\n')).toStdString());
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("of several moving pictures in a file the analyst chooses one", "[desk][footage]")
{
    DeskBench bench;
    bench.film("a.mp4");
    footage::Spec small;
    small.seed = 5;
    small.camera.width = 160;
    small.camera.height = 90;
    small.camera.frames = 90;
    small.storage.preset = "ultrafast";
    footage::make(small, bench.folder / "b.mp4");
    footage::runProgram("ffmpeg", "ffmpeg",
                        {"-y", "-i", (bench.folder / "a.mp4").string(), "-i", (bench.folder / "b.mp4").string(), "-map",
                         "0:v", "-map", "1:v", "-c", "copy", (bench.folder / "two.mkv").string()},
                        bench.folder / "log.txt");
    bench.drop({bench.path("two.mkv")});
    CHECK(onlyCapture(bench).width == 320);
    DeskBench::waitFor([&] { return bench.pool->isOpen(bench.path("two.mkv")); });
    bench.settle();
    chooseInCaptureMenu(bench, QStringLiteral("Video stream"), QStringLiteral("160 x 90"));
    DeskBench::waitFor([&] { return onlyCapture(bench).width == 160; });
    CHECK(onlyCapture(bench).stream == 1);
    CHECK(onlyCapture(bench).frames.value == 90);
    DeskBench::waitFor([&] {
        const auto footage = bench.pool->footage(bench.path("two.mkv"));
        return footage && footage->streamIndex == 1;
    });
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(onlyCapture(bench).width == 320);
    CHECK_FALSE(onlyCapture(bench).stream);
}

TEST_CASE("a session without a name is there again, gets a name beside its footage, or is discarded", "[desk][footage]")
{
    DeskBench bench;
    bench.film("run.mp4");
    bench.drop({bench.path("run.mp4")});
    bench.restart({});
    CHECK(onlyCapture(bench).name == "run");
    CHECK(bench.model->isDraft());
    CHECK(fs::path(onlyCapture(bench).path).is_absolute());
    SECTION("saved under a name")
    {
        REQUIRE(bench.model->saveAs(bench.path("evening")));
        bench.settle();
        CHECK(onlyCapture(bench).path == "run.mp4");
        CHECK(fs::exists(bench.folder / "evening.tallyframe"));
        bench.waitFor([] { return ui::drafts::paths().isEmpty(); });
    }
    SECTION("discarded")
    {
        bench.model->discardDraft();
        bench.waitFor([&] { return bench.document()->captures.empty(); });
        bench.restart({});
        CHECK(bench.document()->captures.empty());
    }
}

TEST_CASE("a session is opened again where it was left", "[desk][footage]")
{
    DeskBench bench;
    bench.film("run1.mp4");
    bench.film("run2.mp4", 2);
    bench.drop({bench.path("run1.mp4"), bench.path("run2.mp4")});
    REQUIRE(bench.model->saveAs(bench.path("evening")));
    bench.settle();
    const QString session = bench.path("evening.tallyframe");
    const session::CaptureId second = session::inOrder(bench.document()->captures).back()->id;
    bench.desk().showCapture(second);
    bench.right(120);
    bench.settle();
    REQUIRE(bench.desk().frameInView().value == 120);
    SECTION("after the program was closed") { bench.restart(session); }
    SECTION("after another session")
    {
        bench.model->newDraft();
        DeskBench::waitFor([&] { return bench.document()->captures.empty(); });
        bench.model->open(session);
        DeskBench::waitFor([&] { return bench.document()->captures.size() == 2; });
    }
    CHECK(bench.desk().captureInView() == second);
    CHECK(bench.desk().frameInView().value == 120);
}

TEST_CASE("a session without a name is offered its folder's, and footage is looked for where it was chosen last",
          "[desk][footage]")
{
    DeskBench bench;
    fs::create_directory(bench.folder / "evening");
    bench.film("evening/run.mp4");
    bench.key(Qt::Key_O, Qt::ControlModifier);
    choose(bench, bench.path("evening/run.mp4"));
    DeskBench::waitFor([&] { return bench.document()->captures.size() == 1; });
    bench.settle();
    bench.key(Qt::Key_S, Qt::ControlModifier);
    const QString proposed = bench.path("evening/evening.tallyframe");
    CHECK(fileDialog(bench)->selectedFiles() == QStringList(proposed));
    press(*fileDialog(bench), "Save");
    DeskBench::waitFor([&] { return bench.model->path() == proposed && !bench.model->pending(); });
    bench.restart({});
    CHECK(bench.document()->captures.empty());
    bench.key(Qt::Key_O, Qt::ControlModifier);
    CHECK(fileDialog(bench)->directory().absolutePath() == bench.path("evening"));
    press(*fileDialog(bench), "Cancel");
}

TEST_CASE("an edit that changes nothing keeps nothing waiting, in a session that was opened again too",
          "[desk][footage]")
{
    ReturnBench bench([](const fs::path&) {});
    REQUIRE(bench.model->edit([](const session::Document&) { return session::Edit{}; }));
    CHECK_FALSE(bench.model->pending());
    CHECK(bench.model->state() == QLatin1String("every change is saved"));
}

TEST_CASE("the window lives on while the session is saved under another name, and what is done meanwhile goes along",
          "[desk][footage]")
{
    // Enough crops take a while.
    const fs::path other =
        fs::path("/dev/shm") / ("tallyframe-gui-" + std::to_string(QCoreApplication::applicationPid()));
    std::error_code error;
    if (!fs::create_directory(other, error)) {
        WARN("there is no second file system to try this on");
        return;
    }
    ReturnBench bench([](const fs::path&) {});
    bench.untilMarkable();
    for (int i = 0; i < 100; ++i)
        bench.model->evidence()->keep(std::vector<std::uint8_t>(1'000'000, static_cast<std::uint8_t>(i)));
    int beats = 0, longest = 0;
    QElapsedTimer since;
    QTimer heart;
    QObject::connect(&heart, &QTimer::timeout, [&] {
        longest = std::max(longest, static_cast<int>(since.restart()));
        ++beats;
    });
    const QString target = QString::fromStdString((other / "moved").string());
    QString became;
    QObject::connect(bench.model.get(), &ui::SessionModel::savedAs, [&](const QString& path) { became = path; });
    heart.start(5);
    since.start();
    QElapsedTimer whole;
    whole.start();
    bench.desk().saveAs(target);
    CHECK(bench.model->pending());
    CHECK(bench.model->state() == QLatin1String("saving as moved.tallyframe"));
    bench.right(60);
    bench.key(Qt::Key_Escape);
    bench.key(Qt::Key_F); // waits, and its crops go to the new session
    CHECK(became.isEmpty());
    DeskBench::waitFor([&] { return !became.isEmpty(); }, 60);
    const int took = static_cast<int>(whole.elapsed());
    bench.settle();
    heart.stop();
    WARN("saved in " << took << " ms; the window was away for " << longest << " ms at most, in " << beats << " beats");
    CHECK(beats > 10);
    CHECK(became == target + QStringLiteral(".tallyframe"));
    CHECK(bench.model->path() == became);
    CHECK(bench.model->state() == QLatin1String("every change is saved"));
    REQUIRE(bench.trials("run").size() == 2);
    const std::string crop = bench.trial(2).readings.front().press->crops.lampAt;
    CHECK(bench.model->evidence()->load(crop));
    CHECK(bench.markable()); // its footage is where it was
    CHECK(fs::path(onlyCapture(bench).path).is_absolute());
    CHECK(bench.problems().isEmpty());
    bench.restart(became);
    CHECK(bench.trials("run").size() == 2);
    bench.window->close();
    bench.waitFor([&] { return !bench.window->isVisible(); });
    fs::remove_all(other);
}

TEST_CASE("where a session can't be saved under another name one sentence says why, and all goes on in the old one",
          "[desk][footage]")
{
    ReturnBench bench([](const fs::path&) {});
    const QString path = bench.model->path();
    bench.desk().saveAs(bench.path("nowhere/moved.tallyframe"));
    DeskBench::waitFor([&] { return !bench.problems().isEmpty(); });
    INFO(bench.problems().join(QLatin1Char('\n')).toStdString());
    CHECK(bench.problems().size() == 1);
    CHECK(bench.problems().front().startsWith(QLatin1String("The session wasn't saved. ")));
    CHECK(bench.problems().front().contains(QLatin1String("nowhere")));
    CHECK(bench.model->path() == path);
    CHECK_FALSE(bench.model->pending());
    bench.right(60);
    bench.untilMarked();
    CHECK(bench.trials("run").size() == 2);
}

TEST_CASE("what pictures may take is chosen in the menu, and is remembered", "[desk][footage]")
{
    DeskBench bench;
    const auto choices = [&] {
        for (QMenu* menu : bench.window->findChildren<QMenu*>())
            if (menu->title().remove(QLatin1Char('&')) == QLatin1String("Memory for pictures"))
                return menu->actions();
        FAIL("there is no such menu");
        return QList<QAction*>();
    };
    const auto chosen = [&] {
        QStringList texts;
        for (QAction* action : choices())
            if (action->isChecked())
                texts << action->text().remove(QLatin1Char('&'));
        return texts;
    };
    CHECK(chosen() == QStringList{QStringLiteral("1 GiB, as usual")});
    choices().first()->trigger();
    CHECK(chosen() == QStringList{QStringLiteral("256 MiB")});
    CHECK(bench.pool->cacheBytes() == std::size_t{256} << 20);
    bench.restart({});
    CHECK(chosen() == QStringList{QStringLiteral("256 MiB")});
    CHECK(bench.pool->cacheBytes() == std::size_t{256} << 20);
    choices()[2]->trigger();
    CHECK(bench.pool->cacheBytes() == std::size_t{1} << 30);
}

TEST_CASE("somebody else's session reads no footage outside its folder until the analyst says so", "[desk][outside]")
{
    DeskBench bench;
    fs::create_directories(bench.folder / "elsewhere");
    bench.film("elsewhere/run.mp4");
    bench.drop({bench.path("elsewhere/run.mp4")});
    const QString session = bench.path("given/evening.tallyframe");
    fs::create_directories(bench.folder / "given");
    bench.model->saveAs(session);
    DeskBench::waitFor([&] { return bench.model->path() == session && !bench.model->pending(); });
    const auto isRead = [&] {
        const ui::KnownFootage* known = bench.pool->find(bench.model->footagePath(onlyCapture(bench)));
        return known && known->isOpen();
    };
    const auto question = [&] { return bench.window->findChild<QMessageBox*>(QStringLiteral("footageQuestion")); };
    const auto answer = [&](const char* text) {
        DeskBench::waitFor([&] { return question() != nullptr; });
        CHECK(question()->text().contains(QString::fromStdString((bench.folder / "elsewhere").string())));
        for (QAbstractButton* button : question()->buttons())
            if (button->text().contains(QLatin1String(text)))
                QTest::mouseClick(button, Qt::LeftButton);
        DeskBench::waitFor([&] { return !question(); });
    };

    SECTION("what was taken in here is read without a question")
    {
        bench.restart(session);
        DeskBench::waitFor([&] { return isRead(); });
        CHECK_FALSE(question());
    }
    SECTION("elsewhere it is asked about once")
    {
        ui::memory::keep();
        QDir(QStandardPaths::writableLocation(QStandardPaths::AppConfigLocation)).removeRecursively();
        ui::memory::readAgain(); // another analyst's machine
        bench.restart(session);
        answer("absent");
        CHECK_FALSE(isRead());
        bench.restart(session); // "no" is remembered
        QTest::qWait(200);
        CHECK_FALSE(question());
        CHECK_FALSE(isRead());

        chooseInCaptureMenu(bench, {}, QStringLiteral("Look again"));
        answer("Read");
        DeskBench::waitFor([&] { return isRead(); });
        bench.restart(session); // so is "yes"
        DeskBench::waitFor([&] { return isRead(); });
        CHECK_FALSE(question());
    }
}

TEST_CASE("a session that comes while hints are looked for in the one before takes none of them over",
          "[desk][footage]")
{
    DeskBench bench;
    const footage::Truth truth = bench.film("run.mp4");
    bench.drop({bench.path("run.mp4")});
    bench.drawRegions(truth);
    const auto& trials = only<ui::TrialList>(*bench.window);
    bench.waitFor([&] { return trials.proposed() == 2; });
    // A search begins once traces have rested for 300 ms; the new session is there, and told of, before it has ended.
    emit bench.pool->traceGrew(bench.path("run.mp4"));
    QTimer::singleShot(1, bench.model.get(), [&] {
        bench.model->newDraft();
        std::this_thread::sleep_for(1s);
    });
    std::this_thread::sleep_for(400ms);
    bench.waitFor([&] { return bench.document()->captures.empty(); });
    bench.settle();
    CHECK(trials.proposed() == 0);
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("pictures and marks that are asked for while the session is being closed are left alone", "[desk][footage]")
{
    DeskBench bench;
    const footage::Truth truth = bench.film("run.mp4");
    bench.drop({bench.path("run.mp4")});
    bench.drawRegions(truth);
    bench.addConfigurations({"direct"});
    bench.right(40);
    bench.key(Qt::Key_F);
    bench.settle();
    const std::string pressCrop = bench.trial(1).readings.front().press->crops.lampAt;
    REQUIRE(!pressCrop.empty());
    bench.model->close();
    REQUIRE(bench.model->phase() == ui::SessionModel::Phase::Closing);
    bench.right(12);
    bench.key(Qt::Key_R);
    bench.pool->openAnew(bench.path("run.mp4"), {}); // its pictures are gone: the crops of the mark would stand in
    bench.waitFor([&] { return bench.model->phase() == ui::SessionModel::Phase::Nothing; });
    std::this_thread::sleep_for(100ms); // for the worker that would read them
    REQUIRE(bench.problems().size() == 1);
    CHECK(bench.problems().front() == QLatin1String("Nothing was marked: the session is being closed."));
}
