// What the desk shows beside the plain picture: what changed, the reel, local contrast, pixel values.
#include "tests/gui/desk_bench.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/picture/picture.h"
#include "ui/desk/view_header.h"
#include "ui/footage/close_up.h"
#include "ui/footage/frame_reel.h"
#include "ui/footage/frame_view.h"
#include <QAction>
#include <QApplication>
#include <QRegularExpression>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <utility>

namespace {

struct ChangeBench : DeskBench {
    footage::Truth truth;
    ui::FrameView* view = window->findChild<ui::FrameView*>();
    ui::FrameReel* reel = window->findChild<ui::FrameReel*>();
    qint64 shown = -1;
    std::vector<qint64> seen;

    ChangeBench() : truth(film("run.mp4"))
    {
        QObject::connect(view, &ui::FrameView::frameShown, view, [this](qint64 frame) {
            shown = frame;
            if (seen.empty() || seen.back() != frame)
                seen.push_back(frame);
        });
        drop({path("run.mp4")});
        waitFor([&] { return bool(pool->picture(path("run.mp4"), {0})); });
    }

    std::int64_t press() const { return *truth.presses[0].lampFrame; }
    std::int64_t response() const { return *truth.presses[0].reactionFrame; }

    /// By keys from wherever the desk is; waits until it is on the screen, rendered exactly.
    void goTo(std::int64_t frame)
    {
        right(frame - desk().frameInView().value);
        settle();
        stands(frame);
    }
    void stands(std::int64_t frame)
    {
        waitFor([&] { return shown == frame; });
        QTest::qWait(400);
    }
    media::Rect screen() const { return {truth.screen.x, truth.screen.y, truth.screen.width, truth.screen.height}; }
    QImage grabbed() const { return view->grab().toImage(); }
    /// Once nothing is rendered any more.
    QImage standing() const
    {
        QImage last;
        waitFor([&] {
            const QImage before = std::exchange(last, grabbed());
            QTest::qWait(300);
            return before == grabbed();
        });
        return last;
    }
    /// Mean of the screen region's middle in a grab of the view, 0..255.
    double level(const QImage& image) const
    {
        const double scale = view->zoom() / view->devicePixelRatioF();
        const QPointF corner((view->width() - truth.width * scale) / 2, (view->height() - truth.height * scale) / 2);
        double sum = 0;
        int count = 0;
        const media::Rect s = screen();
        for (int y = s.y + s.height / 3; y < s.y + 2 * s.height / 3; ++y)
            for (int x = s.x + s.width / 3; x < s.x + 2 * s.width / 3; ++x, ++count)
                sum += qGray(image.pixel((corner + QPointF(x + 0.5, y + 0.5) * scale).toPoint()));
        return sum / count;
    }
};

} // namespace

TEST_CASE("C shows in the screen region what changed since the press, and the picture again", "[desk][change]")
{
    ChangeBench bench;
    bench.drawRegions(bench.truth);
    bench.goTo(bench.press());
    bench.key(Qt::Key_F);
    bench.settle();
    bench.goTo(bench.press() + 2);
    const double plain = bench.level(bench.standing());
    bench.key(Qt::Key_C);
    bench.stands(bench.press() + 2);
    CHECK(bench.view->isComparing());
    CHECK_THAT(bench.view->note().toStdString(),
               Catch::Contains("Change since frame " + std::to_string(bench.press() - 1)));
    REQUIRE(bench.view->change());
    CHECK(bench.view->change()->blocks.empty());
    CHECK(bench.level(bench.grabbed()) == Approx(128).margin(12)); // grey: nothing has changed yet
    CHECK(std::abs(plain - 128) > 40);                             // the screen is dark

    bench.goTo(bench.response() + 10);
    REQUIRE(bench.view->change());
    CHECK_FALSE(bench.view->change()->blocks.empty());
    for (const media::Rect& block : bench.view->change()->blocks) {
        const media::Rect s = bench.screen();
        CHECK((block.x >= s.x - 2 && block.y >= s.y - 2 && block.x + block.width <= s.x + s.width + 2
               && block.y + block.height <= s.y + s.height + 2));
    }
    CHECK(bench.level(bench.grabbed()) > 200);

    bench.goTo(bench.press() - 1);
    CHECK_FALSE(bench.view->change());
    CHECK_THAT(bench.view->note().toStdString(), Catch::Contains("later ones are compared with this one"));
    bench.goTo(bench.press() + 2);
    bench.key(Qt::Key_C);
    bench.stands(bench.press() + 2);
    CHECK_FALSE(bench.view->isComparing());
    CHECK(bench.view->note().isEmpty());
    CHECK(bench.level(bench.standing()) == Approx(plain).margin(2));
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("W compares with the frame before, and G sets how strongly that shows", "[desk][change]")
{
    ChangeBench bench;
    bench.drawRegions(bench.truth);
    const double gain = bench.view->gain();
    bench.key(Qt::Key_W);
    bench.stands(0);
    CHECK_THAT(bench.view->note().toStdString(), Catch::Contains("first frame"));
    bench.goTo(bench.response() + 1);
    CHECK_THAT(bench.view->note().toStdString(),
               Catch::Contains("Change since frame " + std::to_string(bench.response())));
    bench.key(Qt::Key_G, Qt::ShiftModifier);
    bench.key(Qt::Key_G, Qt::ShiftModifier);
    bench.stands(bench.response() + 1);
    const double weak = bench.level(bench.grabbed());
    CHECK(weak > 128 + 8); // it goes on growing brighter
    const double before = bench.view->changeGain();
    bench.key(Qt::Key_G);
    bench.stands(bench.response() + 1);
    CHECK(bench.view->changeGain() == 2 * before);
    CHECK(bench.view->gain() == gain);
    CHECK(bench.level(bench.grabbed()) > weak + 8);
    // The other key takes its place; C's own word stands until the press is marked.
    bench.key(Qt::Key_C);
    bench.stands(bench.response() + 1);
    CHECK_THAT(bench.view->note().toStdString(), Catch::Contains("Mark the press first"));
    CHECK_FALSE(bench.view->change());
    bench.key(Qt::Key_C);
    bench.key(Qt::Key_G);
    CHECK(bench.view->gain() > gain);
}

TEST_CASE("without a screen region a sentence says what to do", "[desk][change]")
{
    ChangeBench bench;
    bench.key(Qt::Key_C);
    bench.stands(0);
    CHECK_THAT(bench.view->note().toStdString(), Catch::Contains("Draw the screen region first (S)"));
    bench.drawRegions(bench.truth);
    DeskBench::waitFor([&] { return bench.view->note().contains(QStringLiteral("Mark the press first (F)")); });
}

TEST_CASE("a held key shows every frame compared with its own, and the mark tells that it was so read",
          "[desk][change][playback]")
{
    ChangeBench bench;
    bench.drawRegions(bench.truth);
    bench.key(Qt::Key_W);
    bench.goTo(20);
    bench.seen = {20};
    const auto held = [&](bool press, bool again) {
        QTest::simulateEvent(bench.window->focusWidget(), press, Qt::Key_Right, Qt::NoModifier, {}, again);
    };
    std::map<qint64, std::string> notes;
    QObject::connect(bench.view, &ui::FrameView::frameShown, bench.view,
                     [&](qint64 frame) { notes[frame] = bench.view->note().toStdString(); });
    held(true, false);
    for (int i = 0; bench.seen.size() < 30 && i < 2000; ++i) {
        held(true, true);
        QTest::qWait(10);
    }
    held(false, false);
    bench.settle();
    REQUIRE(bench.seen.size() >= 30);
    for (std::size_t i = 0; i < bench.seen.size(); ++i) {
        CHECK(bench.seen[i] == 20 + std::int64_t(i));
        if (i > 0)
            CHECK_THAT(notes[bench.seen[i]],
                       Catch::Contains("Change since frame " + std::to_string(bench.seen[i] - 1) + " "));
    }
    bench.key(Qt::Key_F);
    bench.settle();
    CHECK_THAT(session::countingReading(bench.trial(1))->view, Catch::EndsWith("change since the frame before by 4"));
}

TEST_CASE("E shows the frames around the one in view, and a click goes to one", "[desk][reel]")
{
    ChangeBench bench;
    CHECK_FALSE(bench.reel->isVisible());
    bench.key(Qt::Key_E);
    CHECK(bench.reel->isVisible());
    CHECK(bench.reel->frames().empty()); // without a region there is nothing to show
    bench.drawRegions(bench.truth);
    bench.goTo(bench.response());
    const auto all = [&] {
        const auto frames = bench.reel->frames();
        return !frames.empty()
               && std::ranges::all_of(frames, [&](timing::FrameNumber n) { return bench.reel->isShown(n.value); });
    };
    DeskBench::waitFor(all);
    const auto frames = bench.reel->frames();
    REQUIRE(frames.size() >= 9);
    CHECK(frames.front().value == bench.response());
    CHECK(std::ranges::count_if(frames, [&](timing::FrameNumber n) { return n.value < bench.response(); })
          == std::ranges::count_if(frames, [&](timing::FrameNumber n) { return n.value > bench.response(); }));

    // Each column shows its own frame: the screen lights from the response on.
    const QImage image = bench.reel->grab().toImage();
    const auto lightOf = [&](qint64 frame) {
        int x = 0;
        while (x < bench.reel->width() && bench.reel->frameAt(QPointF(x, 10)) != frame)
            ++x;
        REQUIRE(x < bench.reel->width());
        const int side = (bench.reel->height() - 30) / 2;
        return qGray(image.pixel(x + int(side * 0.65), bench.reel->height() - 4 - side / 2));
    };
    CHECK(lightOf(bench.response() + 4) > lightOf(bench.response() - 1) + 60);
    CHECK(std::abs(lightOf(bench.response() - 1) - lightOf(bench.response() - 3)) < 12);

    bench.key(Qt::Key_Right);
    bench.settle();
    CHECK(bench.reel->frames().front().value == bench.response() + 1);
    DeskBench::waitFor(all);
    int x = 0;
    while (bench.reel->frameAt(QPointF(x, 40)) != bench.response() - 2)
        REQUIRE(++x < bench.reel->width());
    QTest::mouseClick(bench.reel, Qt::LeftButton, {}, {x + 5, 40});
    bench.settle();
    CHECK(bench.desk().frameInView().value == bench.response() - 2);
    bench.goTo(0);
    x = 0; // the first frame stands in the middle as well, with nothing before it
    while (bench.reel->frameAt(QPointF(x, 40)) < 0)
        REQUIRE(++x < bench.reel->width());
    CHECK(bench.reel->frameAt(QPointF(x, 40)) == 0);
    CHECK(x > bench.reel->width() * 4 / 10);
    for (const timing::FrameNumber n : bench.reel->frames())
        CHECK(n.value >= 0);
    bench.key(Qt::Key_E);
    CHECK_FALSE(bench.reel->isVisible());
    CHECK(bench.reel->frames().empty());
}

TEST_CASE("read blind, the reel ends where the analyst has stepped to", "[desk][reel]")
{
    ui::FrameReel reel;
    reel.resize(700, 120);
    reel.show();
    reel.setFootage(std::make_shared<const media::Footage>());
    reel.setPlaces(media::Rect{10, 10, 20, 20}, media::Rect{60, 40, 40, 30}, ui::PictureGeometry({320, 180}, 0, 1));
    reel.setFrame(40, 200);
    const auto reaches = [&](qint64 from, qint64 to) {
        const auto frames = reel.frames();
        const auto [least, most] = std::ranges::minmax(frames);
        return least.value == from && most.value == to && std::ssize(frames) == to - from + 1;
    };
    CHECK(reaches(36, 44));
    reel.setBlind(std::pair<qint64, qint64>(38, 41));
    CHECK(reaches(38, 41));
    int last = 0;
    for (int x = 0; x < reel.width(); ++x)
        last = std::max(last, int(reel.frameAt(QPointF(x, 40))));
    CHECK(last == 41);
    reel.setFrame(41, 200);
    CHECK(reaches(38, 41));
    reel.setBlind({});
    CHECK(reaches(37, 45));
    CHECK(reel.shownRects().size() == 2);
    reel.hide();
    CHECK(reel.frames().empty());
}

TEST_CASE("K spreads contrast locally, I tells the file's own code under the pointer", "[desk][change]")
{
    ChangeBench bench;
    bench.drawRegions(bench.truth);
    bench.goTo(5);
    const QImage plain = bench.standing();
    bench.key(Qt::Key_K);
    bench.stands(5);
    DeskBench::waitFor([&] { return bench.grabbed() != plain; });
    bench.key(Qt::Key_K);
    DeskBench::waitFor([&] { return bench.grabbed() == plain; });

    const QPoint at = bench.view->rect().center() + QPoint(20, 12);
    QTest::mouseMove(bench.view, at);
    CHECK(bench.grabbed() == plain);
    bench.key(Qt::Key_I);
    QTest::mouseMove(bench.view, at + QPoint(1, 0));
    CHECK(bench.grabbed() != plain);
    const auto told = QRegularExpression(QStringLiteral("x (\\d+), y (\\d+) .* Y (\\d+) Cb \\d+ Cr \\d+"))
                          .match(bench.view->pixelText(at + QPoint(1, 0)));
    REQUIRE(told.hasMatch());
    const int x = told.captured(1).toInt(), y = told.captured(2).toInt(), luma = told.captured(3).toInt();
    CHECK(std::abs(x - 160) < 20);
    const auto footage = media::openFootage(bench.path("run.mp4").toStdString());
    const auto value = media::pixelAt(media::FrameReader(footage).read({5}), x, y);
    REQUIRE(value);
    CHECK(value->codes.front() == luma);
    CHECK(bench.view->pixelText({-5, -5}).isEmpty());
}

TEST_CASE("no key of the desk does two things", "[desk][change]")
{
    ChangeBench bench;
    std::map<std::string, std::string> taken;
    for (const QAction* action : bench.window->findChildren<QAction*>())
        for (const QKeySequence& key : action->shortcuts()) {
            const std::string name = key.toString().toStdString(), text = action->text().toStdString();
            INFO(name << ": " << text << ", " << taken[name]);
            CHECK((taken[name].empty() || taken[name] == text));
            taken[name] = text;
        }
    for (const char* key : {"C", "W", "E", "K", "I"})
        CHECK_FALSE(taken[key].empty());
}
