// Travelling over a film larger than the memory for pictures: far frames are kept reduced, and still each one is shown.
#include "core/media/decode/frame_reader.h"
#include "tests/gui/desk_bench.h"
#include "ui/desk/frame_message.h"
#include "ui/footage/frame_view.h"

#include <QElapsedTimer>
#include <QMenu>
#include <QTest>
#include <catch2/catch.hpp>

namespace {

constexpr int travelFrames = 130;

/// 1080p, of which the smallest memory that can be chosen holds some 80 pictures as they are.
struct TravelBench : DeskBench {
    footage::Truth truth;
    ui::FrameView* view = nullptr;
    std::vector<qint64> seen; ///< frames as they came onto the screen; one rendered again counts once

    TravelBench()
    {
        footage::Spec spec;
        spec.seed = 3;
        spec.camera.width = 1920;
        spec.camera.height = 1080;
        spec.camera.frames = travelFrames;
        spec.scene.presses = 1;
        spec.storage.gop = 30;
        spec.storage.preset = "ultrafast";
        truth = footage::make(spec, folder / "large.mp4");
        for (QMenu* menu : window->findChildren<QMenu*>())
            if (menu->title().remove(QLatin1Char('&')) == QLatin1String("Memory for pictures"))
                menu->actions().first()->trigger();
        REQUIRE(pool->cacheBytes() == std::size_t{256} << 20);
        drop({film()});
        drawRegions(truth);
        view = window->findChild<ui::FrameView*>();
        waitFor([&] { return bool(pool->picture(film(), {0})); });
        QObject::connect(view, &ui::FrameView::frameShown, view, [this](qint64 frame) {
            if (seen.empty() || seen.back() != frame)
                seen.push_back(frame);
        });
        waitFor([&] { return pool->isOpen(film()) && pool->footage(film())->confirmed; }, 60);
        seen = {0};
    }

    QString film() const { return path("large.mp4"); }

    /// Holds the arrow key until that frame has been seen, and lets it go.
    void hold(int arrow, qint64 until)
    {
        QTest::simulateEvent(view, true, arrow, Qt::NoModifier, {}, false);
        QElapsedTimer timer;
        timer.start();
        const bool forward = arrow == Qt::Key_Right;
        while (forward ? seen.back() < until : seen.back() > until) {
            REQUIRE(timer.elapsed() < 60'000);
            QTest::qWait(40);
            QTest::simulateEvent(view, true, arrow, Qt::NoModifier, {}, true);
        }
        QTest::simulateEvent(view, false, arrow, Qt::NoModifier, {}, false);
    }

    bool playing() const
    {
        for (const ui::FrameMessage* strip : window->findChildren<ui::FrameMessage*>())
            if (strip->sentence().contains(QLatin1String("Plays ")))
                return true;
        return false;
    }

    /// Frames that the cache holds, but not as they are.
    int reduced() const
    {
        int count = 0;
        for (qint64 n = 0; n < travelFrames; ++n)
            if (const media::CachedPicture picture = pool->shown(film(), {n}))
                count += !picture.native();
        return count;
    }

    void checkEachSeen(qint64 from, qint64 to) const
    {
        REQUIRE(seen.front() == from);
        const qint64 by = to > from ? 1 : -1;
        for (std::size_t i = 1; i < seen.size(); ++i) {
            CAPTURE(seen[i - 1]);
            CHECK(seen[i] == seen[i - 1] + by);
        }
        CHECK((to > from ? seen.back() >= to : seen.back() <= to));
    }

    void checkMarkOf(qint64 frame)
    {
        const session::Mark& mark = *session::countingReading(trial(1))->press;
        CHECK(mark.frame.value == frame);
        media::FrameReader reader(pool->footage(film()));
        CHECK(mark.pictureHash == reader.read({frame}).md5());
    }
};

} // namespace

TEST_CASE(
    "a held key shows every frame both ways where far pictures are reduced, and a stop gives the picture as it is",
    "[desk][travel]")
{
    TravelBench bench;
    bench.hold(Qt::Key_Right, 115);
    bench.checkEachSeen(0, 115);
    CHECK(bench.reduced() > 20); // or the budget isn't what is tried here

    bench.seen = {bench.seen.back()};
    const qint64 turn = bench.seen.back();
    bench.hold(Qt::Key_Left, 12);
    bench.checkEachSeen(turn, 12);

    const qint64 inView = bench.seen.back();
    bench.key(Qt::Key_F); // at once, whatever stands on the screen
    DeskBench::waitFor([&] { return bool(bench.pool->picture(bench.film(), {inView})); }, 5);
    bench.settle();
    CHECK(bench.desk().frameInView().value == inView);
    bench.checkMarkOf(inView);
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("played at 30 a second every frame of a film beyond the memory is shown, backward too", "[desk][travel]")
{
    TravelBench bench;
    for (int i = 0; i < 3; ++i)
        bench.key(Qt::Key_B);
    bench.key(Qt::Key_P);
    DeskBench::waitFor([&] { return bench.seen.back() == travelFrames - 1 && !bench.playing(); }, 60);
    bench.checkEachSeen(0, travelFrames - 1);
    CHECK(bench.reduced() > 20);

    bench.seen = {travelFrames - 1};
    bench.key(Qt::Key_P, Qt::ShiftModifier);
    DeskBench::waitFor([&] { return bench.seen.back() == 0 && !bench.playing(); }, 60);
    bench.checkEachSeen(travelFrames - 1, 0);
    DeskBench::waitFor([&] { return bool(bench.pool->picture(bench.film(), {0})); }, 5);
    CHECK(bench.problems().isEmpty());
}
