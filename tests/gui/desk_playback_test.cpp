// Playing footage and holding a key to travel: what is shown, in which order, and what stops it.
#include "tests/gui/desk_bench.h"
#include "ui/desk/frame_message.h"
#include "ui/desk/playback.h"
#include "ui/desk/view_header.h"
#include "ui/footage/frame_view.h"
#include <QApplication>
#include <QElapsedTimer>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>

namespace {

/// A capture on the desk, and the numbers of the frames as they came onto the screen.
struct PlayBench : DeskBench {
    footage::Truth truth;
    ui::FrameView* view;
    std::vector<qint64> seen; ///< a frame rendered again counts once

    PlayBench() : truth(film("run.mp4"))
    {
        drop({path("run.mp4")});
        drawRegions(truth);
        view = window->findChild<ui::FrameView*>();
        waitFor([&] { return bool(pool->picture(path("run.mp4"), {0})); });
        QObject::connect(view, &ui::FrameView::frameShown, view, [this](qint64 frame) {
            if (seen.empty() || seen.back() != frame)
                seen.push_back(frame);
        });
    }

    void goTo(int end)
    {
        key(end);
        const qint64 frame = end == Qt::Key_Home ? 0 : lastFrame();
        waitFor([&] { return bool(pool->picture(path("run.mp4"), {frame})); });
        QTest::qWait(200);
        seen = {frame};
    }
    qint64 lastFrame() const { return static_cast<qint64>(truth.frames.size()) - 1; }

    void faster(int times)
    {
        for (int i = 0; i < times; ++i)
            key(Qt::Key_B);
    }

    /// What the desk says over the frame.
    std::string said(const std::string& about) const
    {
        for (const ui::FrameMessage* strip : window->findChildren<ui::FrameMessage*>())
            if (const std::string sentence = strip->sentence().toStdString(); sentence.find(about) != std::string::npos)
                return sentence;
        return {};
    }
    bool plays() const { return !said("Plays ").empty(); }
    void waitForFrames(std::size_t frames)
    {
        waitFor([this, frames] { return seen.size() >= frames; });
    }
    /// Nothing moves any more.
    bool stands()
    {
        const auto before = seen;
        QTest::qWait(250);
        return seen == before;
    }
};

std::vector<qint64> counted(qint64 from, std::size_t count, qint64 by)
{
    std::vector<qint64> all;
    for (std::size_t i = 0; i < count; ++i)
        all.push_back(from + by * static_cast<qint64>(i));
    return all;
}

void repeat(QWidget* widget, bool press, bool again)
{
    QTest::simulateEvent(widget, press, Qt::Key_Right, Qt::NoModifier, {}, again);
}

} // namespace

TEST_CASE("up to 30 frames a second every frame is a picture, beyond that every so-manieth", "[desk][playback]")
{
    const double rate = GENERATE(1.0, 5.0, 30.0);
    CHECK(ui::paceOf(rate).stride == 1);
    CHECK(ui::paceOf(rate).interval == 1 / rate);
    CHECK(ui::paceOf(30.5).stride == 2);
    CHECK(ui::paceOf(60).stride == 2);
    CHECK(ui::paceOf(240).stride == 8);
    CHECK(ui::paceOf(961.5).stride == 33);
    CHECK(ui::paceOf(961.5).interval == Approx(33 / 961.5));
}

TEST_CASE("played forward at 30 a second every frame is shown in order", "[desk][playback]")
{
    PlayBench bench;
    bench.goTo(Qt::Key_Home);
    bench.key(Qt::Key_P); // 5 a second
    bench.faster(3);
    CHECK_THAT(bench.said("Plays "), Catch::Contains("Plays forward, 30 frames a second"));
    QElapsedTimer timer;
    timer.start();
    const std::size_t from = bench.seen.size();
    bench.waitForFrames(from + 45);
    // Never faster than asked: 44 intervals, one of which may have been made up for.
    CHECK(timer.elapsed() >= 43 * 1000 / 30);
    bench.key(Qt::Key_P);
    CHECK_FALSE(bench.plays());
    CHECK(bench.stands());
    CHECK(bench.seen == counted(0, bench.seen.size(), +1));
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("played backward every frame is shown in order, across entry points, down to the first", "[desk][playback]")
{
    PlayBench bench;
    bench.goTo(Qt::Key_Home);
    bench.right(61); // the films' entry points are 40 apart
    QTest::qWait(300);
    bench.seen = {61};
    bench.faster(3);
    bench.key(Qt::Key_P, Qt::ShiftModifier);
    CHECK_THAT(bench.said("Plays "), Catch::Contains("Plays backward, 30 frames a second"));
    DeskBench::waitFor([&] { return !bench.plays(); });
    CHECK(bench.seen == counted(61, 62, -1));
    CHECK(bench.said("first frame") == "This is the first frame.");
}

TEST_CASE("faster than 30 a second playback says which frames it shows, and ends on the last one", "[desk][playback]")
{
    PlayBench bench;
    bench.goTo(Qt::Key_Home);
    bench.faster(6);
    bench.key(Qt::Key_P);
    CHECK_THAT(bench.said("Plays "), Catch::Contains("Plays forward, 240 frames a second: shows one frame in 8"));
    const qint64 from = bench.seen.back();
    QElapsedTimer timer;
    timer.start();
    DeskBench::waitFor([&] { return !bench.plays(); });
    // 240 a second, where the machine is fast enough; never faster by more than the one interval made up for.
    CHECK(static_cast<double>(timer.elapsed()) >= 1000.0 * (static_cast<double>(bench.lastFrame() - from) - 16) / 240);
    CHECK(bench.seen.back() == bench.lastFrame());
    CHECK(bench.said("last frame") == "This is the last frame.");
    const auto place = std::find(bench.seen.begin(), bench.seen.end(), from);
    for (auto frame = place; frame + 2 < bench.seen.end(); ++frame) {
        CAPTURE(*frame);
        // A machine that is late goes on at an entry point instead.
        const bool entered =
            bench.pool->footage(bench.path("run.mp4"))->frames[static_cast<std::size_t>(*(frame + 1))].cleanEntry;
        CHECK((*(frame + 1) - *frame == 8 || (entered && *(frame + 1) - *frame > 8)));
    }
}

TEST_CASE("a mark's key while footage plays marks the frame that is seen, and playing stops", "[desk][playback]")
{
    PlayBench bench;
    bench.goTo(Qt::Key_Home);
    bench.faster(3);
    bench.key(Qt::Key_P);
    bench.waitForFrames(25);
    const qint64 inView = bench.seen.back();
    bench.key(Qt::Key_F);
    CHECK_FALSE(bench.plays());
    bench.settle();
    CHECK(session::countingReading(bench.trial(1))->press->frame.value == inView);
    CHECK(bench.stands());
    CHECK(bench.seen.back() == inView);
}

TEST_CASE("a step, Esc, another page and the list of keys stop what is played", "[desk][playback]")
{
    PlayBench bench;
    bench.goTo(Qt::Key_Home);
    bench.faster(3);
    bench.key(Qt::Key_P);
    bench.waitForFrames(10);
    SECTION("a step goes on from the frame that is seen")
    {
        const qint64 inView = bench.seen.back();
        bench.key(Qt::Key_Left);
        CHECK_FALSE(bench.plays());
        DeskBench::waitFor([&] { return bench.seen.back() == inView - 1; });
    }
    SECTION("Esc") { bench.key(Qt::Key_Escape); }
    SECTION("another page") { bench.window->showPage(QStringLiteral("Results")); }
    SECTION("the list of keys") { bench.key(Qt::Key_F1); }
    CHECK_FALSE(bench.plays());
    CHECK(bench.stands());
}

TEST_CASE("a held arrow key shows every frame in order at its own pace, and stops when it is let go",
          "[desk][playback]")
{
    PlayBench bench;
    bench.goTo(Qt::Key_Home);
    repeat(bench.view, true, false);
    QElapsedTimer timer;
    timer.start();
    while (timer.elapsed() < 1500) { // a keyboard that repeats 10 times a second
        QTest::qWait(100);
        repeat(bench.view, true, true);
    }
    repeat(bench.view, false, false);
    CHECK(bench.stands());
    CHECK(bench.seen == counted(0, bench.seen.size(), +1));
    CHECK(bench.seen.size() > 25); // more than the keyboard's 15, up to 42: 30 a second
    CHECK(bench.seen.size() < 50);
    CHECK_FALSE(bench.plays());
}

TEST_CASE("real time of a settled clock is the highest rate", "[desk][playback]")
{
    PlayBench bench;
    const session::Capture* capture = session::inOrder(bench.document()->captures).front();
    const auto clock = capture->clock;
    REQUIRE(bench.model->edit(
        [&](const session::Document& latest) { return session::declareRate(latest, clock, 100, 0.01, "said so"); }));
    bench.settle();
    const auto& evidence = session::find(*bench.document(), clock)->evidence;
    const auto declared =
        std::ranges::find(evidence, timing::Origin::Declared, [](const auto& one) { return one.rate.origin; });
    REQUIRE(declared != evidence.end());
    const auto id = declared->id;
    REQUIRE(bench.model->edit(
        [&](const session::Document& latest) { return session::settleClock(latest, clock, id, "said so"); }));
    bench.settle();
    bench.faster(20);
    CHECK(bench.said("Playback rate") == "Playback rate: real time, 100 frames a second");
    bench.goTo(Qt::Key_Home);
    bench.key(Qt::Key_P);
    CHECK_THAT(bench.said("Plays "),
               Catch::Contains("Plays forward in real time, 100 frames a second: shows one frame in 4"));
    bench.key(Qt::Key_V);
    CHECK_THAT(bench.said("Plays "), Catch::Contains("Plays forward, 60 frames a second: shows one frame in 2"));
}

TEST_CASE("Y lifts dark parts, and the reading tells with how much it was read", "[desk]")
{
    PlayBench bench;
    bench.right(40);
    bench.key(Qt::Key_Y);
    bench.key(Qt::Key_Y);
    CHECK(bench.view->gamma() == ui::ViewHeader::gammaSteps()[2]);
    bench.key(Qt::Key_F);
    bench.settle();
    CHECK_THAT(session::countingReading(bench.trial(1))->view, Catch::EndsWith("gain 1.0, gamma 1.8"));
    bench.key(Qt::Key_Y, Qt::ShiftModifier);
    bench.key(Qt::Key_Y, Qt::ShiftModifier);
    CHECK(bench.view->gamma() == 1);
    bench.right(5);
    bench.key(Qt::Key_R);
    bench.settle();
    CHECK_THAT(session::countingReading(bench.trial(1))->view, !Catch::Contains("gamma"));
}
