// An evening's reading: 40 trials of 4 captures in the real window by keys alone, frames found by what the window
// shows.
#include "tests/footage/reaction_film.h"
#include "tests/gui/desk_bench.h"
#include "ui/desk/trial_list.h"
#include "ui/footage/frame_view.h"

#include <QImage>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>

namespace {

constexpr int pictureWidth = 320, pictureHeight = 180;

footage::ReactionTruth eveningFilm(const std::filesystem::path& path, std::uint64_t seed, footage::ReactionKind kind)
{
    footage::ReactionSpec spec;
    spec.seed = seed;
    spec.kind = kind;
    spec.width = pictureWidth;
    spec.height = pictureHeight;
    spec.presses = 10;
    spec.pressGap = 0.5;
    spec.contrast = 40;
    spec.noise = 2;
    spec.fine = 2;
    return footage::filmReactions(spec, path);
}

/// Somebody who sees the window and has a keyboard.
class Reader : public DeskBench {
public:
    std::vector<footage::ReactionTruth> truths;
    int struck = 0;

    Reader() : m_view(*window->findChild<ui::FrameView*>())
    {
        QObject::connect(&m_view, &ui::FrameView::frameShown, [this](qint64 frame) { m_shown = frame; });
    }
    void strike(int which, Qt::KeyboardModifiers modifiers = Qt::NoModifier)
    {
        key(which, modifiers);
        ++struck;
        settle();
        waitUntilShown();
    }
    void waitUntilShown()
    {
        waitFor([this] { return m_shown == frame(); });
    }
    std::int64_t frame() const { return desk().frameInView().value; }
    qsizetype proposed() const { return window->findChild<ui::TrialList*>()->proposed(); }

    /// The screen region as the window shows it.
    QImage look(const footage::Rect& rect) const
    {
        constexpr int outline = 5; // the region's own isn't the picture
        const QRect inner = QRect(at(rect.x, rect.y), at(rect.x + rect.width, rect.y + rect.height))
                                .adjusted(outline, outline, -outline, -outline);
        return window->grab(inner.translated(m_view.mapTo(window.get(), QPoint()))).toImage();
    }
    /// How much of the one differs from the other so that an eye sees it.
    static double share(const QImage& one, const QImage& other)
    {
        constexpr int visible = 12; // levels, of pixels enlarged and smoothed
        int differing = 0;
        for (int y = 0; y < one.height(); ++y)
            for (int x = 0; x < one.width(); ++x)
                differing += std::abs(qGray(one.pixel(x, y)) - qGray(other.pixel(x, y))) > visible;
        return double(differing) / (one.width() * one.height());
    }

    /// A region by keys: it appears in the middle, is sized, then moved.
    void place(int begin, const footage::Rect& wanted)
    {
        key(begin);
        waitFor([this] { return m_view.isDrawingRegion(); });
        key(Qt::Key_Right);
        const auto draft = [this] { return *m_view.regionDraft(); };
        const auto go = [&](int forth, int back, int distance, Qt::KeyboardModifiers modifiers) {
            const int arrow = distance < 0 ? back : forth;
            for (distance = std::abs(distance); distance >= 10; distance -= 10)
                key(arrow, modifiers | Qt::ControlModifier);
            for (; distance > 0; --distance)
                key(arrow, modifiers);
        };
        go(Qt::Key_Right, Qt::Key_Left, wanted.x - draft().x, {});
        go(Qt::Key_Down, Qt::Key_Up, wanted.y - draft().y, {});
        go(Qt::Key_Right, Qt::Key_Left, wanted.width - draft().width, Qt::ShiftModifier);
        go(Qt::Key_Down, Qt::Key_Up, wanted.height - draft().height, Qt::ShiftModifier);
        key(Qt::Key_Return);
        settle();
    }

private:
    QPoint at(double x, double y) const // the fitted picture stands in the middle of its view
    {
        const double zoom = m_view.zoom() / m_view.devicePixelRatioF();
        return {qRound(m_view.width() / 2.0 + (x - pictureWidth / 2) * zoom),
                qRound(m_view.height() / 2.0 + (y - pictureHeight / 2) * zoom)};
    }
    ui::FrameView& m_view;
    qint64 m_shown = -1;
};

} // namespace

TEST_CASE("40 trials of 4 captures are read by keys as an eye would, and every mark is the film's", "[evening]")
{
    using footage::ReactionKind;
    Reader reader;
    constexpr ReactionKind kinds[] = {ReactionKind::Step, ReactionKind::MotionStarts, ReactionKind::Appears,
                                      ReactionKind::MotionStarts};
    for (std::size_t film = 0; film < 4; ++film) {
        const std::string name = "evening" + std::to_string(film + 1) + ".mp4";
        reader.truths.push_back(eveningFilm(reader.folder / name, 70 + film, kinds[film]));
        reader.drop({reader.path(name)});
    }
    const auto captures = session::inOrder(reader.document()->captures);
    reader.waitFor([&] { return reader.desk().captureInView() == captures.back()->id; }); // what came in last is shown
    reader.desk().showCapture(captures.front()->id);
    reader.settle();

    // The lamp is found by one key and taken by another; the screen's region is placed. The other films take both over.
    reader.place(Qt::Key_S, reader.truths.front().screen);
    reader.key(Qt::Key_Escape); // the lamp region is asked for next
    reader.key(Qt::Key_M);
    reader.waitFor([&] { return reader.window->findChild<ui::FrameView*>()->isDrawingRegion(); }, 60);
    reader.key(Qt::Key_Return);
    reader.settle();
    for (const auto& [id, capture] : reader.document()->captures)
        CHECK(capture->regions.size() == 2);
    reader.waitFor([&] { return reader.proposed() == 10 && reader.desk().quiet(); }, 120);

    reader.strike(Qt::Key_Home);
    reader.strike(Qt::Key_Down);
    std::vector<int> counts;
    int exact = 0, unhinted = 0;
    for (std::size_t trial = 0; trial < 40; ++trial) {
        const footage::ReactionTruth& film = reader.truths[trial / 10];
        const footage::ReactionTruth::Press& truth = film.presses[trial % 10];
        INFO("trial " << trial + 1 << ", press " << truth.first);
        REQUIRE(truth.response);
        reader.struck = 0;
        reader.waitFor([&] { return bool(session::find(*reader.document(), reader.desk().captureInView())->presses); },
                       120); // its traces are whole
        reader.waitUntilShown();
        const QImage before = reader.look(film.screen);
        reader.strike(Qt::Key_Return); // takes the press over
        const std::int64_t press = reader.frame();
        CHECK(press >= truth.first);
        CHECK(press <= truth.plain);
        reader.strike(Qt::Key_Down);
        const auto changed = [&] { return Reader::share(before, reader.look(film.screen)) > 0.0015; };
        // Where no hint was to be had it is looked for in tens. Then back to the last frame without the change, and on
        // to the first with it.
        const bool hinted = reader.frame() != press;
        while (!hinted && !changed() && reader.frame() < press + 200)
            reader.strike(Qt::Key_Right, Qt::ShiftModifier);
        while (changed() && reader.frame() > press)
            reader.strike(Qt::Key_Left);
        while (!changed() && reader.frame() < press + 200)
            reader.strike(Qt::Key_Right);
        const std::int64_t response = reader.frame();
        reader.strike(Qt::Key_R);
        reader.key(Qt::Key_Return);
        ++reader.struck;
        reader.settle();
        counts.push_back(reader.struck);
        unhinted += !hinted;
        CHECK(std::abs(response - *truth.response) <= 1);
        exact += response == *truth.response;
        if (trial < 39) {
            const auto& next = reader.truths[(trial + 1) / 10].presses[(trial + 1) % 10];
            DeskBench::waitFor([&] { return reader.frame() >= next.first && reader.frame() <= next.plain; }, 120);
            reader.settle();
        }
    }
    for (std::size_t film = 0; film < 4; ++film) {
        const auto trials = reader.trials("evening" + std::to_string(film + 1));
        REQUIRE(trials.size() == 10);
        for (std::size_t at = 0; at < 10; ++at) {
            const session::Reading& reading = trials[at]->readings.front();
            const footage::ReactionTruth::Press& truth = reader.truths[film].presses[at];
            CHECK(reading.accepted);
            CHECK(reading.press->frame.value >= truth.first);
            CHECK(reading.press->frame.value <= truth.plain);
            CHECK(std::abs(reading.response->frame.value - *truth.response) <= 1);
        }
    }
    std::ranges::sort(counts);
    std::cout << "keys a trial: median " << counts[20] << ", 90th percentile " << counts[36] << ", most "
              << counts.back() << "; responses on the film's own frame: " << exact
              << " of 40, without a hint: " << unhinted << '\n';
    CHECK(counts[20] <= 8);
    CHECK(counts[36] <= 14);
    CHECK(exact >= 30);
    CHECK(reader.problems().isEmpty());
}
