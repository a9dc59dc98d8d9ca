#include "core/media/decode/frame_reader.h"
#include "tests/gui/footage_films.h"
#include "ui/footage/footage_pool.h"
#include "ui/footage/reference_trace.h"
#include "ui/footage/trace_view.h"
#include "ui/look/tokens.h"
#include <QFile>
#include <QSignalSpy>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>

namespace {

constexpr int tracePatience = 20'000; // ms

/// Opened in the pool, and confirmed.
ui::ReferenceTrace::Wish wishFor(ui::FootagePool& pool, const QString& path, std::int64_t reference, std::int64_t count)
{
    pool.open(path);
    REQUIRE(QTest::qWaitFor([&] { return pool.isOpen(path) && pool.footage(path)->confirmed; }, tracePatience));
    const auto& screen = benchFilm().truth.screen;
    return {path, pool.footage(path), {screen.x, screen.y, screen.width, screen.height}, {reference}, {count}};
}

} // namespace

TEST_CASE("what changed since a frame is measured in the frames after it, and no further than wanted", "[reference]")
{
    const std::int64_t press = *benchFilm().truth.presses.at(0).lampFrame,
                       reaction = *benchFilm().truth.presses[0].reactionFrame;
    ui::FootagePool pool;
    const auto wish = wishFor(pool, benchFilm().path, press - 2, reaction - press + 20);
    ui::ReferenceTrace trace(pool);
    trace.want(wish);
    CHECK(trace.known()->empty());
    REQUIRE(QTest::qWaitFor([&] { return std::int64_t(trace.known()->size()) == wish.count.value; }, tracePatience));
    media::FrameReader reader(wish.footage);
    const media::Picture reference = reader.read(wish.reference);
    for (std::int64_t n = 0; n < wish.count.value; ++n)
        CHECK(trace.known()->at(std::size_t(n)).sinceReference
              == media::changeBetween(reference, reader.read({wish.reference.value + n}), wish.region));
    // It stays changed: the reaction's first frame is where it leaves its rest for good.
    const auto luma = [&](std::int64_t n) {
        return trace.known()->at(std::size_t(n - wish.reference.value)).sinceReference->luma;
    };
    CHECK(luma(reaction + 10) > 4 * luma(reaction - 2));
    CHECK(luma(reaction + 15) > 4 * luma(reaction - 2));

    const auto before = trace.known();
    trace.want(wish); // the same again
    CHECK(trace.known() == before);
    trace.want({});
    CHECK(trace.known()->empty());
}

TEST_CASE("another wish drops the one under way, and the film's end ends it", "[reference]")
{
    ui::FootagePool pool;
    ui::ReferenceTrace trace(pool);
    trace.want(wishFor(pool, benchFilm().path, 0, 400));
    const auto last = wishFor(pool, benchFilm().path, 390, 480);
    trace.want(last);
    REQUIRE(QTest::qWaitFor([&] { return !trace.known()->empty(); }, tracePatience));
    QTest::qWait(50);
    REQUIRE(trace.known()->size() == 10);
    CHECK(trace.known()->front().sinceReference == media::Change{});
}

TEST_CASE("what can't be decoded since a frame is told", "[reference]")
{
    const TempFolder folder;
    const QString copy = QString::fromStdString((folder / "gone.mp4").string());
    REQUIRE(QFile::copy(benchFilm().path, copy));
    ui::FootagePool pool;
    const auto wish = wishFor(pool, copy, 10, 20);
    REQUIRE(QFile::remove(copy));
    ui::ReferenceTrace trace(pool);
    QSignalSpy failed(&trace, &ui::ReferenceTrace::failed);
    trace.want(wish);
    REQUIRE(QTest::qWaitFor([&] { return failed.count() == 1; }, tracePatience));
    CHECK(failed.first().first().toString().contains(QStringLiteral("gone.mp4")));
}

TEST_CASE("what the cache holds isn't decoded again for what changed since a frame", "[reference]")
{
    const TempFolder folder;
    const QString copy = QString::fromStdString((folder / "kept.mp4").string());
    REQUIRE(QFile::copy(benchFilm().path, copy));
    ui::FootagePool pool;
    const auto wish = wishFor(pool, copy, 10, 20);
    std::vector<timing::FrameNumber> frames;
    for (std::int64_t n = 10; n < 30; ++n)
        frames.push_back({n});
    pool.want(copy, frames, 0);
    const auto isThere = [&] {
        return std::ranges::all_of(frames,
                                   [&](timing::FrameNumber n) { return static_cast<bool>(pool.picture(copy, n)); });
    };
    REQUIRE(QTest::qWaitFor(isThere, tracePatience));
    REQUIRE(QFile::remove(copy)); // there is nothing left to decode from
    ui::ReferenceTrace trace(pool);
    trace.want(wish);
    CHECK(QTest::qWaitFor([&] { return trace.known()->size() == 20; }, tracePatience));
}

TEST_CASE("the line of change since the press lies over the screen's bars, blind only as far as was seen",
          "[reference][trace]")
{
    ui::TraceView view;
    view.resize(64 + 720, 220); // the narrow label column, then 10 pixels a frame
    view.setFrameCount(1000);
    view.setTraces(nullptr, std::make_shared<const media::Trace>(media::Trace(100)));
    view.setFrame(5);
    const auto lineIn = [&](int frame) {
        const QImage seen = view.grab().toImage();
        int rows = 0;
        for (int y = 175; y < 193; ++y) // the lowest rows of the lower plot
            rows += seen.pixelColor(64 + 10 * frame + 5, y) == ui::tokens().text1;
        return rows;
    };
    CHECK(lineIn(30) == 0);
    media::Trace since(40);
    for (std::size_t n = 0; n < since.size(); ++n)
        since[n].sinceReference = media::Change{n < 20 ? 0.0 : 9.0, 0};
    view.setSinceReference(std::make_shared<const media::Trace>(since), 20);
    CHECK(lineIn(19) == 0);
    CHECK(lineIn(30) == 1);
    CHECK(lineIn(59) == 1);
    CHECK(lineIn(60) == 0);
    view.setBlind(40);
    CHECK(lineIn(40) == 1);
    CHECK(lineIn(41) == 0);
    view.setBlind({});
    view.setSinceReference(nullptr, 0);
    CHECK(lineIn(30) == 0);
}
