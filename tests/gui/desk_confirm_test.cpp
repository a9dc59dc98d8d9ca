// While all of a film is decoded in the background: what the captures list says, and marks set while frames get other
// numbers.
#include "core/media/decode/frame_reader.h"
#include "tests/footage/run_program.h"
#include "tests/gui/desk_bench.h"
#include "ui/desk/capture_list.h"
#include "core/reading/new_capture.h"
#include "ui/desk/frame_message.h"
#include "ui/footage/frame_view.h"

#include <QListWidget>
#include <QTest>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>

namespace {

std::string bytesOf(const std::filesystem::path& path)
{
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

/// A film of intra pictures, several times the bench's; those in `dead` have a packet but no picture.
struct ConfirmBench : DeskBench {
    footage::Truth truth;

    explicit ConfirmBench(const std::vector<std::size_t>& dead, int times = 10)
    {
        truth = film("once.mp4");
        footage::runProgram("ffmpeg", "ffmpeg",
                            {"-y", "-i", (folder / "once.mp4").string(), "-c:v", "mjpeg", "-q:v", "16",
                             (folder / "intra.avi").string()},
                            folder / "log.txt");
        footage::runProgram("ffmpeg", "ffmpeg",
                            {"-y", "-stream_loop", std::to_string(times - 1), "-i", (folder / "intra.avi").string(),
                             "-c", "copy", (folder / "film.avi").string()},
                            folder / "log.txt");
        std::string bytes = bytesOf(folder / "film.avi");
        std::vector<std::size_t> starts;
        for (std::size_t at = bytes.find("\xff\xd8\xff"); at != std::string::npos;
             at = bytes.find("\xff\xd8\xff", at + 3))
            starts.push_back(at);
        REQUIRE(starts.size() == truth.frames.size() * static_cast<std::size_t>(times));
        for (const std::size_t n : dead)
            std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(starts[n]), 600, '\0');
        std::ofstream(folder / "film.avi", std::ios::binary) << bytes;
        packets = static_cast<std::int64_t>(starts.size());
    }

    /// By an edit: a checksum would take longer than decoding on a busy machine.
    void takeIn()
    {
        const auto scanned = media::scanFootage(folder / "film.avi");
        REQUIRE(model->edit([&](const session::Document& document) {
            return session::addCaptures(document, {reading::describeCapture(*scanned, path("film.avi").toStdString())});
        }));
        waitFor([&] { return pool->isOpen(path("film.avi")); });
        drawRegions(truth);
        view = window->findChild<ui::FrameView*>();
    }
    const session::Capture& capture() const { return *document()->captures.begin()->second; }
    bool isConfirmed() const { return footage() && footage()->confirmed; }
    QString row() const { return window->findChild<ui::CaptureList*>()->findChild<QListWidget*>()->item(0)->text(); }
    QString cue() const { return window->findChild<ui::FrameMessage*>(QStringLiteral("cue"))->sentence(); }
    std::shared_ptr<const media::Footage> footage() const { return pool->footage(path("film.avi")); }

    /// Of every mark there is: the picture under its number is the one it was set on.
    void requireMarksOnPictures()
    {
        media::FrameReader reader(footage());
        const auto marks = session::markedPictures(*document(), capture().id);
        REQUIRE_FALSE(marks.empty());
        for (const auto& [frame, hash] : marks) {
            CAPTURE(frame);
            CHECK(reader.read({frame}).md5() == hash);
        }
    }

    ui::FrameView* view = nullptr;
    std::int64_t packets = 0;
};

} // namespace

TEST_CASE("confirming a film is told in the captures list, grows, ends, and leaves the clock's word", "[desk][confirm]")
{
    ConfirmBench bench({});
    std::vector<int> told;
    bench.takeIn();
    const auto note = [&] {
        const QString text = bench.row();
        if (const auto at = text.indexOf(QLatin1String(" % checked")); at >= 0)
            told.push_back(text.left(at).section(QLatin1Char(' '), -1).toInt());
        return bench.isConfirmed();
    };
    DeskBench::waitFor(note, 120);
    REQUIRE(told.size() > 5);
    CHECK(std::is_sorted(told.begin(), told.end()));
    CHECK(told.back() > told.front());
    CHECK(told.back() <= 100);
    bench.settle();
    CHECK_FALSE(bench.row().contains(QLatin1String("checked")));
    INFO(bench.row().toStdString());
    CHECK(bench.row().endsWith(QLatin1String("unknown")));
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("marks set up to, in and after the moment in which frames are renumbered stay on their pictures",
          "[desk][confirm]")
{
    ConfirmBench bench({20, 90, 91});
    std::set<session::MarkedPicture> everSet; // by the numbers they had once the session followed
    bench.takeIn();
    REQUIRE_FALSE(bench.isConfirmed());
    REQUIRE(bench.capture().frames.value == bench.packets);
    bench.right(100);
    DeskBench::waitFor([&] { return bool(bench.pool->picture(bench.path("film.avi"), {100})); });
    bench.key(Qt::Key_F);
    bench.settle();
    REQUIRE(session::countingReading(bench.trial(1))->press->frame.value == 100);

    QObject::connect(bench.model.get(), &ui::SessionModel::changed, [&] {
        if (bench.document()->captures.empty() || bench.capture().frames.value == bench.packets)
            return;
        for (const session::MarkedPicture& mark : session::markedPictures(*bench.document(), bench.capture().id))
            everSet.insert(mark);
    });
    // A mark takes milliseconds to be hashed and its crops to be written: enough of them are on their way when decoding
    // ends.
    DeskBench::waitFor(
        [&] { return bench.pool->find(bench.path("film.avi"))->confirmedShare > 0.6 || bench.isConfirmed(); }, 120);
    REQUIRE_FALSE(bench.isConfirmed());
    int pressed = 0, pressedAfter = 0;
    DeskBench::waitFor(
        [&] {
            if (pressedAfter < 5) {
                bench.right(1);
                bench.key(Qt::Key_F);
                ++pressed;
                pressedAfter += bench.isConfirmed() && bench.capture().frames.value < bench.packets;
            }
            return pressedAfter == 5;
        },
        120);
    bench.settle();
    DeskBench::waitFor([&] { return !bench.row().contains(QLatin1String("checked")); });
    CHECK(pressed > 10);
    CHECK(bench.capture().frames.value == bench.packets - 3);

    // Every mark that the session ever held by decoded numbers.
    media::FrameReader reader(bench.footage());
    CHECK(everSet.size() > 1);
    for (const auto& [frame, hash] : everSet) {
        CAPTURE(frame);
        CHECK(reader.read({frame}).md5() == hash);
    }
    bench.requireMarksOnPictures();
    const QString all = bench.problems().join(QLatin1Char('\n'));
    INFO(all.toStdString());
    CHECK(all.contains(QLatin1String("marks stay on their pictures")));
}

TEST_CASE("the picture in view and a mark on it keep their place when frames before it turn out not to exist",
          "[desk][confirm]")
{
    ConfirmBench bench({20, 90});
    bench.takeIn();
    bench.right(100);
    DeskBench::waitFor([&] { return bool(bench.pool->picture(bench.path("film.avi"), {100})); });
    const std::string picture = bench.pool->picture(bench.path("film.avi"), {100}).md5();
    bench.key(Qt::Key_F);
    bench.settle();
    REQUIRE_FALSE(bench.isConfirmed());
    DeskBench::waitFor([&] { return bench.isConfirmed(); }, 120);
    bench.settle();
    DeskBench::waitFor([&] { return bench.capture().frames.value == bench.packets - 2; });
    CHECK(session::countingReading(bench.trial(1))->press->frame.value == 98);
    CHECK(bench.desk().frameInView().value == 98);
    DeskBench::waitFor([&] { return bool(bench.pool->picture(bench.path("film.avi"), {98})); });
    CHECK(bench.pool->picture(bench.path("film.avi"), {98}).md5() == picture);

    SECTION("undo goes back to before the mark, and what is marked then is right")
    {
        bench.key(Qt::Key_Z, Qt::ControlModifier);
        bench.settle();
        DeskBench::waitFor(
            [&] { return bench.capture().frames.value == bench.packets - 2 && !bench.model->pending(); });
        CHECK(session::trialsOf(*bench.document(), bench.capture().id).empty());
        DeskBench::waitFor([&] {
            bench.key(Qt::Key_F);
            bench.settle();
            return !session::trialsOf(*bench.document(), bench.capture().id).empty();
        });
        bench.requireMarksOnPictures();
    }
    SECTION("the session keeps it when it is opened again")
    {
        REQUIRE(bench.model->saveAs(bench.path("kept.tallyframe")));
        DeskBench::waitFor([&] { return bench.model->path() == bench.path("kept.tallyframe"); });
        bench.restart(bench.path("kept.tallyframe"));
        DeskBench::waitFor([&] { return bench.isConfirmed(); }, 120);
        bench.settle();
        CHECK(session::countingReading(bench.trial(1))->press->frame.value == 98);
        bench.requireMarksOnPictures();
        DeskBench::waitFor([&] { return !bench.row().contains(QLatin1String("relink")); });
    }
}
