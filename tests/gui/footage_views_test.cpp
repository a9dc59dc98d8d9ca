#include "tests/gui/footage_films.h"
#include "core/media/decode/frame_reader.h"
#include "ui/footage/frame_view.h"
#include "ui/footage/pair_view.h"
#include "ui/footage/trace_view.h"
#include "ui/look/tokens.h"
#include <QAction>
#include <QSignalSpy>
#include <QTest>
#include <QWheelEvent>
#include <catch2/catch.hpp>
#include <cmath>
#include <set>

using session::RegionKind;
using ui::FrameView;

namespace {

constexpr int viewPatience = 20'000;

struct OpenFilm {
    std::shared_ptr<const media::Footage> footage = media::openFootage(benchFilm().path.toStdString());
    media::FrameReader reader{footage};
};

/// The bench film as if its camera had been turned.
std::shared_ptr<const media::Footage> turned(const media::Footage& footage, int rotation)
{
    auto copy = std::make_shared<media::Footage>(footage);
    copy->rotation = rotation;
    return copy;
}

struct Shown {
    OpenFilm film;
    FrameView view;
    QSignalSpy frames{&view, &FrameView::frameShown};

    explicit Shown(int rotation = 0, QSize size = {640, 360})
    {
        view.resize(size);
        view.show();
        view.setFootage(turned(*film.footage, rotation));
        view.setPicture(film.reader.read({10}), {10});
        REQUIRE(QTest::qWaitFor([&] { return frames.count() > 0; }, viewPatience));
    }
};

void wheel(QWidget& widget, QPointF at, int notches)
{
    QWheelEvent event(at, widget.mapToGlobal(at), {}, {0, notches * 120}, Qt::NoButton, Qt::NoModifier,
                      Qt::NoScrollPhase, false);
    QApplication::sendEvent(&widget, &event);
}

media::Trace ramp(int frames)
{
    media::Trace trace;
    for (int i = 0; i < frames; ++i)
        trace.push_back({double(i % 200), 0, 255});
    return trace;
}

} // namespace

TEST_CASE("the frame view shows the picture's own colours, turned", "[views]")
{
    const int rotation = GENERATE(0, 90, 180, 270);
    const bool lies = rotation % 180 == 0;
    Shown shown(rotation, lies ? QSize(320, 180) : QSize(180, 320)); // pixel for pixel
    REQUIRE(shown.view.zoom() == 1);
    QTest::qWait(200); // past the pause: exact
    REQUIRE(QTest::qWaitFor([&] { return shown.frames.count() >= 2; }, viewPatience));
    media::View plain;
    plain.rotation = rotation;
    const media::RgbImage expected = media::render(shown.film.reader.read({10}), plain);
    shown.view.clearFocus(); // no ring
    const QImage seen = shown.view.grab().toImage();
    for (const QPoint at : {QPoint(20, 30), QPoint(100, 100), QPoint(170, 150)}) {
        const std::uint8_t* p = &expected.pixels[std::size_t(3 * (at.y() * expected.width + at.x()))];
        CHECK(seen.pixelColor(at) == QColor(p[0], p[1], p[2]));
    }
}

TEST_CASE("every frame that is set is shown, and an exact rendering follows when it stands", "[views]")
{
    Shown shown;
    shown.frames.clear();
    for (int n = 0; n < 20; ++n) {
        shown.view.setPicture(shown.film.reader.read({n}), {n});
        REQUIRE(QTest::qWaitFor([&] { return !shown.frames.isEmpty() && shown.frames.back().at(0).toLongLong() == n; },
                                viewPatience));
    }
    shown.frames.clear();
    CHECK(QTest::qWaitFor([&] { return shown.frames.count() == 1; }, viewPatience));
}

TEST_CASE("a reduced picture stands in while it is large enough, and the view says when it isn't", "[views]")
{
    Shown shown(0, {160, 120});
    const media::Picture native = shown.film.reader.read({20});
    const auto reduced = media::CachedPicture::reduced(native, {2, {{100, 60, 40, 30}}}, native.hash());
    REQUIRE(reduced);
    REQUIRE(shown.view.zoom() == 0.5);
    CHECK(shown.view.canShow(reduced));
    shown.frames.clear();
    shown.view.setPicture(reduced, {20});
    REQUIRE(QTest::qWaitFor([&] { return shown.frames.count() >= 2; }, viewPatience)); // fast, then exact
    const QSignalSpy tooSmall(&shown.view, &FrameView::pictureTooSmall);
    shown.view.setZoom(1);
    CHECK(tooSmall.count() > 0);
    CHECK_FALSE(shown.view.canShow(reduced));
    shown.frames.clear();
    shown.view.setPicture(native, {20});
    CHECK(QTest::qWaitFor([&] { return shown.frames.count() >= 2; }, viewPatience));
    CHECK_FALSE(shown.view.canShow({}));
}

TEST_CASE("from 200 % on pixels are squares of one colour, below they are smoothed", "[views]")
{
    Shown shown;
    // After `period` columns of the view a picture's pixel begins anew. Not smoothed, colours change at the edges of
    // pixels only: at one column of the period, at two of three where two pixels share three columns.
    const auto [zoom, period, edges] = GENERATE(table<double, int, int>({{1.5, 3, 3}, {2, 2, 1}, {4, 4, 1}}));
    shown.view.setZoom(zoom);
    QTest::qWait(250); // past the pause: exact
    shown.view.clearFocus();
    const QImage seen = shown.view.grab().toImage();
    std::set<int> columns;
    for (int y = 40; y < 320; y += 7)
        for (int x = 1; x < seen.width(); ++x)
            if (seen.pixel(x, y) != seen.pixel(x - 1, y))
                columns.insert(x % period);
    CAPTURE(zoom);
    CHECK(columns.size() == std::size_t(edges));
}

TEST_CASE("gamma lifts dark parts and leaves black and white", "[views]")
{
    Shown shown(0, {320, 180});
    QTest::qWait(200);
    shown.view.clearFocus();
    const QImage plain = shown.view.grab().toImage();
    shown.frames.clear();
    shown.view.setGamma(2.2);
    REQUIRE(QTest::qWaitFor([&] { return shown.frames.count() >= 2; }, viewPatience)); // fast, then exact
    const QImage lifted = shown.view.grab().toImage();
    for (int y = 10; y < 170; y += 20)
        for (int x = 10; x < 310; x += 20) {
            CAPTURE(x, y);
            const int expected = qRound(255 * std::pow(plain.pixelColor(x, y).green() / 255.0, 1 / 2.2));
            CHECK(lifted.pixelColor(x, y).green() == expected);
        }
}

TEST_CASE("zooming by the wheel leaves what lies under the pointer in its place", "[views]")
{
    Shown shown;
    shown.view.setZoom(4);
    QTest::qWait(250); // past the pause: exact
    const QImage before = shown.view.grab().toImage();
    const QPointF at(200, 100);
    QSignalSpy zoomed(&shown.view, &FrameView::zoomChanged);
    wheel(shown.view, at, 1);
    CHECK(shown.view.zoom() == 6);
    CHECK(zoomed.count() == 1);
    wheel(shown.view, at, -1);
    CHECK(shown.view.zoom() == 4);
    QTest::qWait(250);
    const QImage after = shown.view.grab().toImage();
    CHECK(after.pixelColor(at.toPoint()) == before.pixelColor(at.toPoint()));
    CHECK_FALSE(shown.view.isFitted());
    shown.view.zoomFit();
    CHECK(shown.view.zoomText() == QStringLiteral("fit, 200 %"));
}

TEST_CASE("zoom stays between 25 % and 1600 %", "[views]")
{
    Shown shown;
    for (int i = 0; i < 30; ++i)
        shown.view.zoomIn();
    CHECK(shown.view.zoom() == 16);
    for (int i = 0; i < 60; ++i)
        shown.view.zoomOut();
    CHECK(shown.view.zoom() == 0.25);
}

TEST_CASE("a region is drawn with the pointer in native pixels, whatever the turn", "[views]")
{
    // The view's lower right quarter, native: where the turn takes it from.
    const auto [rotation, expected] = GENERATE(table<int, media::Rect>(
        {{0, {160, 90, 160, 90}}, {90, {160, 0, 160, 90}}, {180, {0, 0, 160, 90}}, {270, {0, 90, 160, 90}}}));
    const bool lies = rotation % 180 == 0;
    Shown shown(rotation, lies ? QSize(640, 360) : QSize(360, 640));
    std::optional<media::Rect> drawn;
    QObject::connect(&shown.view, &FrameView::regionDrawn, [&](RegionKind kind, media::Rect rect) {
        CHECK(kind == RegionKind::Screen);
        drawn = rect;
    });
    shown.view.beginRegion(RegionKind::Screen);
    CHECK(shown.view.isDrawingRegion());
    const QPoint middle(shown.view.width() / 2, shown.view.height() / 2);
    QTest::mousePress(&shown.view, Qt::LeftButton, {}, middle);
    QTest::mouseMove(&shown.view, middle + QPoint(50, 30));
    QTest::mouseMove(&shown.view, QPoint(shown.view.width(), shown.view.height()) * 2);
    QTest::mouseRelease(&shown.view, Qt::LeftButton, {}, middle * 2);
    REQUIRE(drawn);
    CHECK(*drawn == expected);
    CHECK_FALSE(shown.view.isDrawingRegion());
}

TEST_CASE("regions that were set before the footage was ready are drawn once it is", "[views]")
{
    OpenFilm film;
    FrameView view;
    view.resize(640, 360); // two view pixels a picture pixel
    view.show();
    QSignalSpy frames(&view, &FrameView::frameShown);
    view.setRegions({{RegionKind::Lamp, {100, 50, 60, 40}, QStringLiteral("lamp")}});
    view.setFootage(film.footage);
    view.setPicture(film.reader.read({0}), {0});
    REQUIRE(QTest::qWaitFor([&] { return frames.count() > 0; }, viewPatience));
    view.clearFocus();
    CHECK(view.grab().toImage().pixelColor(260, 98) == ui::footageTokens().press); // just above the region's top edge
}

TEST_CASE("Esc leaves the region as it was", "[views]")
{
    Shown shown;
    QSignalSpy cancelled(&shown.view, &FrameView::regionCancelled);
    QSignalSpy drawn(&shown.view, &FrameView::regionDrawn);
    shown.view.beginRegion(RegionKind::Lamp, media::Rect{10, 10, 30, 30});
    QTest::keyClick(&shown.view, Qt::Key_Right);
    QTest::keyClick(&shown.view, Qt::Key_Escape);
    CHECK(cancelled.count() == 1);
    CHECK(drawn.count() == 0);
    CHECK_FALSE(shown.view.isDrawingRegion());
}

TEST_CASE("while a region is drawn its keys are not the page's", "[views]")
{
    OpenFilm film;
    QWidget page;
    page.resize(640, 400);
    FrameView view(&page);
    view.resize(640, 360);
    QAction step;
    step.setShortcut(Qt::Key_Right);
    page.addAction(&step);
    QSignalSpy stepped(&step, &QAction::triggered);
    page.show();
    page.activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&page));
    view.setFootage(film.footage);
    view.setPicture(film.reader.read({0}), {0});
    view.setFocus();

    QTest::keyClick(&view, Qt::Key_Right);
    CHECK(stepped.count() == 1);

    std::optional<media::Rect> drawn;
    QObject::connect(&view, &FrameView::regionDrawn, [&](RegionKind, media::Rect rect) { drawn = rect; });
    view.beginRegion(RegionKind::Lamp, media::Rect{10, 20, 30, 40});
    QTest::keyClick(&view, Qt::Key_Right);
    QTest::keyClick(&view, Qt::Key_Down, Qt::ControlModifier);
    QTest::keyClick(&view, Qt::Key_Left, Qt::ShiftModifier);
    QTest::keyClick(&view, Qt::Key_Return);
    CHECK(stepped.count() == 1);
    REQUIRE(drawn);
    CHECK(*drawn == media::Rect{11, 30, 29, 40});

    QTest::keyClick(&view, Qt::Key_Right);
    CHECK(stepped.count() == 2);
}

TEST_CASE("a message stands in place of the picture until the next one", "[views]")
{
    Shown shown;
    shown.view.clearFocus();
    const QImage picture = shown.view.grab().toImage();
    shown.view.setMessage(QStringLiteral("bench.mp4 isn't where it was"), QStringLiteral("Relink the capture."));
    const QImage message = shown.view.grab().toImage();
    CHECK(message.pixelColor(5, 5) == ui::tokens().surround);
    shown.view.setPicture(shown.film.reader.read({10}), {10});
    shown.frames.clear();
    REQUIRE(QTest::qWaitFor([&] { return shown.frames.count() > 0; }, viewPatience));
    CHECK(shown.view.grab().toImage().pixelColor(5, 5) == picture.pixelColor(5, 5));
}

TEST_CASE("the pair shows the region's brightness and both frames at one scale", "[views]")
{
    OpenFilm film;
    const auto& lamp = benchFilm().truth.lamp;
    const int lit = benchFilm().truth.presses.at(0).lampFrame.value();
    ui::PairView view(RegionKind::Lamp);
    view.resize(300, view.heightForWidth(300));
    view.show();
    const QColor empty = view.grab().toImage().pixelColor(70, 50);
    CHECK(empty == ui::tokens().field);
    view.setRegion({lamp.x, lamp.y, lamp.width, lamp.height}, ui::PictureGeometry(film.footage->size, 0, 1));
    view.setHalves({QStringLiteral("last dark"), lit - 1, film.reader.read({lit - 1}), {}},
                   {QStringLiteral("first lit"), lit, film.reader.read({lit}), {}});
    view.setMarked(true);
    QImage seen;
    REQUIRE(QTest::qWaitFor(
        [&] {
            seen = view.grab().toImage();
            return seen.pixelColor(70, 50) != empty && seen.pixelColor(225, 50) != empty;
        },
        viewPatience));
    CHECK(seen.pixelColor(225, 50).lightness() > seen.pixelColor(70, 50).lightness() + 30);
    CHECK(seen.pixelColor(298, 50) == ui::tokens().press); // the ring of the marked frame
    view.setFlipped(true);
    CHECK(view.grab().toImage().pixelColor(225, 50).lightness() < seen.pixelColor(225, 50).lightness());
}

TEST_CASE("a pair keeps the picture it shows until the next one is there", "[views]")
{
    OpenFilm film;
    const auto& lamp = benchFilm().truth.lamp;
    ui::PairView view(RegionKind::Lamp);
    view.resize(300, view.heightForWidth(300));
    view.show();
    const QColor empty = ui::tokens().field;
    view.setRegion({lamp.x, lamp.y, lamp.width, lamp.height}, ui::PictureGeometry(film.footage->size, 0, 1));
    const ui::PairView::Half first{QStringLiteral("in view"), 3, film.reader.read({3}), {}};
    view.setHalves({}, first);
    REQUIRE(QTest::qWaitFor([&] { return view.grab().toImage().pixelColor(225, 50) != empty; }, viewPatience));
    ui::PairView::Half next{QStringLiteral("in view"), 4, {}, {}, true};
    view.setHalves({}, next);
    QTest::qWait(50);
    CHECK(view.grab().toImage().pixelColor(225, 50) != empty);
    next.coming = false; // it can't be had after all
    view.setHalves({}, next);
    CHECK(view.grab().toImage().pixelColor(225, 50) == empty);
}

TEST_CASE("a pair of footage that is gone shows the stored crops", "[views]")
{
    ui::PairView view(RegionKind::Screen);
    view.resize(300, view.heightForWidth(300));
    QImage crop(20, 16, QImage::Format_RGB32);
    crop.fill(Qt::darkGreen);
    view.setHalves({QStringLiteral("last before"), 5, {}, crop}, {QStringLiteral("first reaction"), 6, {}, {}});
    const QImage seen = view.grab().toImage();
    CHECK(seen.pixelColor(70, 50) == QColor(Qt::darkGreen));
    CHECK(seen.pixelColor(225, 50) == ui::tokens().field);
}

TEST_CASE("the trace's window stands still while the frame in view moves inside it", "[views][trace]")
{
    ui::TraceView view;
    view.resize(800, 220);
    view.setFrameCount(1000);
    view.setFrame(500);
    const qint64 from = view.firstShown();
    CHECK(from < 500);
    CHECK(500 < from + view.framesShown());
    qint64 moves = 0;
    for (qint64 n = 501, last = from; n < 700; ++n) {
        view.setFrame(n);
        CHECK(view.firstShown() <= n);
        CHECK(n < view.firstShown() + view.framesShown());
        moves += std::exchange(last, view.firstShown()) != view.firstShown();
    }
    CHECK(moves <= 6); // 200 steps over windows of 72 frames
    view.setFrame(999);
    CHECK(view.firstShown() + view.framesShown() == 1000);
    view.setFrame(0);
    CHECK(view.firstShown() == 0);
}

TEST_CASE("a click in the traces names the frame whose column it hits", "[views][trace]")
{
    ui::TraceView view;
    view.resize(64 + 720, 220); // the narrow label column, then 10 pixels a frame
    view.setFrameCount(1000);
    view.setTraces(std::make_shared<const media::Trace>(ramp(1000)), std::make_shared<const media::Trace>(ramp(400)));
    view.setFrame(0);
    QSignalSpy chosen(&view, &ui::TraceView::frameChosen);
    QTest::mouseClick(&view, Qt::LeftButton, {}, QPoint(64 + 10 * 30 + 5, 120));
    REQUIRE(chosen.count() == 1);
    CHECK(chosen.takeFirst().at(0).toLongLong() == 30);
    QTest::mouseClick(&view, Qt::LeftButton, {}, QPoint(64 + 360, 12)); // whole capture
    REQUIRE(chosen.count() == 1);
    CHECK(chosen.takeFirst().at(0).toLongLong() == 500);
}

TEST_CASE("a trace is drawn as far as it is known, and blind only as far as was seen", "[views][trace]")
{
    ui::TraceView view;
    view.resize(64 + 720, 220);
    view.setFrameCount(1000);
    view.setTraces(std::make_shared<const media::Trace>(ramp(40)), nullptr);
    const auto litIn = [&](int frame) { // a press-coloured pixel in the lamp's column of a frame
        const QImage seen = view.grab().toImage();
        for (int y = 60; y < 120; ++y)
            if (seen.pixelColor(64 + 10 * frame + 5, y) == ui::tokens().press)
                return true;
        return false;
    };
    CHECK(litIn(39));
    CHECK_FALSE(litIn(40));
    view.setBlind(20);
    CHECK(litIn(20));
    CHECK_FALSE(litIn(21));
}
