#include "core/media/measure/still_blocks.h"
#include "core/reading/hints.h"
#include "tests/footage/reaction_film.h"
#include "tests/footage/temp_folder.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <functional>
#include <random>

namespace {

constexpr auto lights = session::LampEvent::Lights;
constexpr media::Rect region{100, 40, 160, 96};

/// Repeatable noise about 0.
class Noise {
public:
    double operator()(double sd) { return sd * m_draw(m_random); }

private:
    std::mt19937 m_random{11};
    std::normal_distribution<double> m_draw;
};

media::Trace lampTrace(std::size_t frames, const std::function<double(std::size_t)>& level)
{
    Noise noise;
    media::Trace trace(frames);
    for (std::size_t n = 0; n < frames; ++n)
        trace[n].mean = level(n) + noise(0.2);
    return trace;
}

media::Trace lampTrace(std::size_t frames, const std::vector<std::size_t>& presses, std::size_t hold = 60)
{
    return lampTrace(frames, [&](std::size_t n) {
        bool lit = false;
        for (const std::size_t press : presses)
            lit = lit || (n >= press && n < press + hold);
        return lit ? 200.0 : 20.0;
    });
}

/// 20 x 12 blocks of a picture with slopes, and what `add` (frame, column, row) puts on top.
media::Trace screenTrace(std::size_t frames, const std::function<double(std::size_t, int, int)>& add)
{
    Noise noise;
    media::Trace trace(frames);
    for (std::size_t n = 0; n < frames; ++n) {
        media::StillBlocks b;
        b.columns = 20;
        b.rows = 12;
        for (int y = 0; y < b.rows; ++y)
            for (int x = 0; x < b.columns; ++x)
                b.luma.push_back(std::int16_t((60 + 3 * x + 2 * y + add(n, x, y) + noise(0.3)) / b.unit));
        trace[n].blocks = std::make_shared<const media::StillBlocks>(b);
    }
    return trace;
}

std::optional<std::int64_t> responseOf(const reading::HintPair& pair)
{
    return pair.response ? std::optional(pair.response->frame.value) : std::nullopt;
}

std::vector<std::int64_t> pressesOf(const media::Trace& lamp, session::LampEvent event = lights)
{
    std::vector<std::int64_t> frames;
    for (const reading::HintPair& pair : reading::findHints(lamp, {}, region, event))
        frames.push_back(pair.press.frame.value);
    return frames;
}

} // namespace

TEST_CASE("a response is hinted at on the first frame of its change, with the blocks that changed", "[hints]")
{
    const auto lamp = lampTrace(600, {250});
    SECTION("a thing appears")
    {
        const auto screen = screenTrace(600, [](std::size_t n, int x, int y) {
            return n >= 320 && x >= 5 && x < 8 && y >= 4 && y < 6 ? 12.0 : 0.0;
        });
        const auto hints = reading::findHints(lamp, screen, region, lights);
        REQUIRE(hints.size() == 1);
        CHECK(responseOf(hints[0]) == 320);
        CHECK(hints[0].response->kind == reading::ChangeKind::Appears);
        CHECK(hints[0].response->strong());
        REQUIRE(hints[0].response->blocks.size() == 6);
        for (const media::Rect& r : hints[0].response->blocks) {
            CHECK(r.x >= region.x + 5 * 8);
            CHECK(r.x + r.width <= region.x + 8 * 8);
            CHECK(r.y >= region.y + 4 * 8);
            CHECK(r.y + r.height <= region.y + 6 * 8);
        }
    }
    SECTION("all of it grows brighter")
    {
        const auto screen = screenTrace(600, [](std::size_t n, int, int) { return n >= 320 ? 4.0 : 0.0; });
        const auto hints = reading::findHints(lamp, screen, region, lights);
        CHECK(responseOf(hints.at(0)) == 320);
        CHECK(hints[0].response->kind == reading::ChangeKind::BrightnessStep);
    }
    SECTION("an edge begins to move, a quarter of a block every four frames")
    {
        const auto screen = screenTrace(600, [](std::size_t n, int x, int y) {
            const double edge = 6 + (n >= 320 ? 0.25 * double((n - 320) / 4 + 1) : 0);
            return y >= 5 && y < 8 ? -40 * std::clamp(edge - x, 0.0, 1.0) : 0.0;
        });
        const auto hints = reading::findHints(lamp, screen, region, lights);
        CHECK(responseOf(hints.at(0)) == 320);
        CHECK(hints[0].response->kind == reading::ChangeKind::MotionStarts);
    }
    SECTION("what moves comes to rest, by steps of an eighth of a block that are too weak to be seen")
    {
        const auto screen = screenTrace(600, [](std::size_t n, int x, int y) {
            const double edge = 4 + 0.125 * double(std::min<std::size_t>(n, 319) / 4);
            return y >= 5 && y < 8 ? -14 * std::clamp(edge - x, 0.0, 1.0) : 0.0;
        });
        const auto hints = reading::findHints(lamp, screen, region, lights);
        REQUIRE(hints.at(0).response);
        CHECK(hints[0].response->kind == reading::ChangeKind::MotionStops);
        CHECK(std::abs(hints[0].response->frame.value - 320) <= 3);
    }
    SECTION("each press has its own, or none")
    {
        const auto three = lampTrace(600, {80, 220, 380}, 30);
        const auto screen = screenTrace(600, [](std::size_t n, int x, int y) {
            return x > 9 && x < 13 && y > 3 && y < 7 && ((n >= 130 && n < 160) || n >= 440) ? 15.0 : 0.0;
        });
        const auto hints = reading::findHints(three, screen, region, lights);
        REQUIRE(hints.size() == 3);
        CHECK(responseOf(hints[0]) == 130);
        CHECK_FALSE(hints[1].response);
        CHECK(responseOf(hints[2]) == 440);
    }
}

TEST_CASE("noise, and what goes on before the press as well, are no response", "[hints]")
{
    const auto lamp = lampTrace(1200, {450}, 90);
    SECTION("noise")
    {
        CHECK_FALSE(
            reading::findHints(lamp, screenTrace(1200, [](auto...) { return 0.0; }), region, lights).at(0).response);
    }
    SECTION("ripple and a slow drift of all of it")
    {
        const auto screen = screenTrace(1200, [](std::size_t n, int x, int y) {
            return (60 + 3 * x + 2 * y) * (0.05 * std::sin(double(n) * 2.6) + 0.00004 * double(n));
        });
        CHECK_FALSE(reading::findHints(lamp, screen, region, lights).at(0).response);
    }
    SECTION("a cursor that blinks, and clouds that pass")
    {
        const auto busy = [](std::size_t n, int x, int y) {
            if (x == 15 && y == 10)
                return n / 53 % 2 ? 70.0 : 0.0;
            return y < 4 ? 9 * std::sin(0.7 * x + 0.05 * double(n)) : 0.0;
        };
        CHECK_FALSE(reading::findHints(lamp, screenTrace(1200, busy), region, lights).at(0).response);
        const auto reacting = screenTrace(1200, [&](std::size_t n, int x, int y) {
            return busy(n, x, y) + (n >= 530 && x > 4 && x < 8 && y > 6 && y < 9 ? 14 : 0);
        });
        CHECK(responseOf(reading::findHints(lamp, reacting, region, lights).at(0)) == 530);
    }
    SECTION("the lamp's own light on the screen")
    {
        const auto screen = screenTrace(1200, [](std::size_t n, int x, int y) {
            const double glow = n >= 450 && n < 540 ? 8.0 / (1 + x) : 0;
            return glow + (n >= 500 && x > 12 && x < 16 && y > 5 && y < 8 ? 14 : 0);
        });
        CHECK(responseOf(reading::findHints(lamp, screen, region, lights).at(0)) == 500);
    }
}

TEST_CASE("without blocks, or with too little before the press, there is no hint of a response", "[hints]")
{
    const auto changes = screenTrace(600, [](std::size_t n, int, int) { return n >= 320 ? 30.0 : 0.0; });
    media::Trace known = changes;
    known.resize(252);
    CHECK_FALSE(reading::findHints(lampTrace(600, {250}), known, region, lights).at(0).response);
    CHECK_FALSE(reading::findHints(lampTrace(600, {250}), media::Trace(600), region, lights).at(0).response);
    CHECK_FALSE(reading::findHints(lampTrace(600, {10}), changes, region, lights).at(0).response);
    CHECK(reading::findHints({}, changes, region, lights).empty());
}

TEST_CASE("a lamp's onset is its first light, whatever lamp it is", "[hints]")
{
    using List = std::vector<std::int64_t>;
    const auto lit = [](std::size_t n, std::size_t from, std::size_t to) { return n >= from && n < to; };
    SECTION("partly lit in its first frame")
    {
        CHECK(
            pressesOf(lampTrace(600, [&](std::size_t n) { return n == 249           ? 24.0
                                                                 : lit(n, 250, 300) ? 200.0
                                                                                    : 20.0; }))
            == List{249});
    }
    SECTION("it dims and never goes out, while the room drifts and ripples")
    {
        CHECK(pressesOf(lampTrace(1500,
                                  [&](std::size_t n) {
                                      const double room = 40 + 0.01 * double(n) + 1.2 * std::sin(2.6 * double(n));
                                      return room + (lit(n, 250, 300) || lit(n, 900, 990) ? 60.0 : 30.0);
                                  }))
              == List{250, 900});
    }
    SECTION("pulse width, three frames of five")
    {
        CHECK(pressesOf(lampTrace(900,
                                  [&](std::size_t n) {
                                      return (lit(n, 250, 330) && (n - 250) % 5 < 3)
                                                     || (lit(n, 600, 700) && (n - 600) % 5 < 3)
                                                 ? 200.0
                                                 : 20.0;
                                  }))
              == List{250, 600});
    }
    SECTION("held nearly until the next press")
    {
        CHECK(pressesOf(
                  lampTrace(900, [&](std::size_t n) { return lit(n, 250, 570) || lit(n, 600, 880) ? 200.0 : 20.0; }))
              == List{250, 600});
    }
    SECTION("a button that fires by itself has one press a burst")
    {
        CHECK(pressesOf(lampTrace(1200,
                                  [&](std::size_t n) {
                                      return (lit(n, 250, 330) && (n - 250) % 16 < 8)
                                                     || (lit(n, 700, 780) && (n - 700) % 16 < 8)
                                                 ? 200.0
                                                 : 20.0;
                                  }))
              == List{250, 700});
    }
    SECTION("a reference that blinks throughout has none")
    {
        CHECK(pressesOf(lampTrace(1200, [](std::size_t n) {
                  return std::fmod(double(n) / 24.7, 1) < 0.5 ? 200.0 : 20.0;
              })).empty());
    }
    SECTION("a lamp that goes out")
    {
        CHECK(pressesOf(lampTrace(600, [&](std::size_t n) { return lit(n, 250, 300) ? 20.0 : 200.0; }),
                        session::LampEvent::GoesOut)
              == List{250});
    }
    SECTION("nothing but noise and ripple has none")
    {
        CHECK(pressesOf(lampTrace(900, [](std::size_t n) { return 90 + 3 * std::sin(2.6 * double(n)); })).empty());
    }
}

TEST_CASE("blocks stay on the scene while the camera shakes", "[hints][still-blocks]")
{
    footage::ReactionSpec spec;
    spec.kind = footage::ReactionKind::None;
    spec.lamp = footage::LampKind::Blinking;
    spec.width = 320;
    spec.height = 180;
    spec.presses = 1;
    spec.pressGap = 0.3;
    spec.shake = 1.2;
    spec.ripple = 0.03;
    spec.rippleOnScreen = true;
    const TempFolder folder;
    const auto truth = footage::filmReactions(spec, folder / "film.mp4");
    const media::Rect screen{truth.screen.x, truth.screen.y, truth.screen.width, truth.screen.height};
    const auto trace = media::traceRegions(*media::openFootage(folder / "film.mp4"), {screen}).front();
    double offX = 0, offY = 0, offLight = 0;
    for (std::size_t n = 0; n < trace.size(); ++n) {
        REQUIRE(trace[n].blocks);
        const media::StillBlocks& b = *trace[n].blocks;
        REQUIRE(b.movementKnown);
        const footage::CameraState& there = truth.camera[n];
        const footage::CameraState& first = truth.camera[0];
        offX = std::max(offX, std::abs(b.dx - (there.x - first.x)));
        offY = std::max(offY, std::abs(b.dy - (there.y - first.y)));
        offLight = std::max(offLight, std::abs(b.light - there.light / first.light));
    }
    INFO(offX << " " << offY << " " << offLight);
    CHECK(offX < 0.25); // pixels at most, of some 5 that it moves: noise and what the codec makes of it
    CHECK(offY < 0.25);
    CHECK(offLight < 0.06); // the codec leaves out changes of a level or so
}
