#include "core/reading/hints.h"
#include "core/media/measure/trace.h"
#include "tests/footage/temp_folder.h"
#include "tests/footage/writer.h"
#include <catch2/catch.hpp>
#include <numeric>
#include <random>

namespace {

constexpr auto lights = session::LampEvent::Lights;

/// Repeatable noise about 0 of the given standard deviation.
class Noise {
public:
    explicit Noise(double sd) : m_draw(0, sd) {}
    double operator()() { return m_draw(m_random); }

private:
    std::mt19937 m_random{11};
    std::normal_distribution<double> m_draw;
};

media::Trace lampTrace(std::size_t frames, const std::vector<std::size_t>& presses, std::size_t hold = 60)
{
    Noise noise(0.2);
    media::Trace trace(frames);
    for (media::RegionLevels& levels : trace)
        levels.mean = 20 + noise();
    for (const std::size_t press : presses)
        for (std::size_t n = press; n < std::min(frames, press + hold); ++n)
            trace[n].mean += 180;
    return trace;
}

/// Nothing but noise: brightness stays, each frame differs from the one before as noise does.
media::Trace stillScreen(std::size_t frames)
{
    Noise noise(0.1);
    media::Trace trace(frames);
    for (std::size_t n = 0; n < frames; ++n) {
        trace[n].mean = 90 + noise();
        if (n > 0)
            trace[n].sincePrevious = media::Change{1.2 + noise() / 2, 0.5 + noise() / 4};
    }
    return trace;
}

std::optional<std::int64_t> responseOf(const reading::HintPair& pair)
{
    return pair.response ? std::optional(pair.response->frame.value) : std::nullopt;
}

} // namespace

TEST_CASE("a reaction that moves without growing lighter or darker is hinted at by its change", "[hints]")
{
    media::Trace screen = stillScreen(600);
    SECTION("it jumps once")
    {
        screen[320].sincePrevious->luma += 6;
        const auto hints = reading::findHints(lampTrace(600, {250}), screen, lights);
        REQUIRE(hints.size() == 1);
        CHECK(hints[0].press.frame.value == 250);
        CHECK(responseOf(hints[0]) == 320);
        CHECK(hints[0].response->strong);
    }
    SECTION("it goes on moving")
    {
        for (std::size_t n = 320; n < 400; ++n)
            screen[n].sincePrevious->luma += 2;
        const auto hints = reading::findHints(lampTrace(600, {250}), screen, lights);
        REQUIRE(hints.size() == 1);
        CHECK(responseOf(hints[0]) == 320);
    }
    SECTION("it changes colour alone")
    {
        screen[320].sincePrevious->chroma += 4;
        const auto hints = reading::findHints(lampTrace(600, {250}), screen, lights);
        REQUIRE(hints.size() == 1);
        CHECK(responseOf(hints[0]) == 320);
    }
    SECTION("each press has its own")
    {
        screen[130].sincePrevious->luma += 6;
        screen[440].sincePrevious->luma += 6;
        const auto hints = reading::findHints(lampTrace(600, {60, 200, 380}), screen, lights);
        REQUIRE(hints.size() == 3);
        CHECK(responseOf(hints[0]) == 130);
        CHECK_FALSE(hints[1].response);
        CHECK(responseOf(hints[2]) == 440);
    }
}

TEST_CASE("noise, and things that moved just as much before the press, are no reaction", "[hints]")
{
    media::Trace screen = stillScreen(2000);
    CHECK_FALSE(reading::findHints(lampTrace(2000, {250}), screen, lights).at(0).response);
    for (std::size_t n = 0; n < screen.size(); n += 24) // a coarser picture every two dozen
        if (screen[n].sincePrevious)
            screen[n].sincePrevious->luma += 3;
    CHECK_FALSE(reading::findHints(lampTrace(2000, {250}), screen, lights).at(0).response);
    screen[333].sincePrevious->luma += 8;
    CHECK(responseOf(reading::findHints(lampTrace(2000, {250}), screen, lights).at(0)) == 333);
}

TEST_CASE("where brightness speaks clearly, change isn't asked", "[hints]")
{
    media::Trace screen = stillScreen(600);
    screen[290].sincePrevious->luma += 6; // something moves
    for (std::size_t n = 320; n < 600; ++n)
        screen[n].mean += 60;
    screen[320].sincePrevious->luma += 60;
    const auto strong = reading::findHints(lampTrace(600, {250}), screen, lights);
    CHECK(responseOf(strong.at(0)) == 320);
    CHECK(strong[0].response->strong);
    for (std::size_t n = 320; n < 600; ++n)
        screen[n].mean -= 59.1; // 0.9 levels, 9 SD of the noise: brightness says little
    CHECK(responseOf(reading::findHints(lampTrace(600, {250}), screen, lights).at(0)) == 290);
}

TEST_CASE("a trace without change, as far as it is known, gives the hints of its brightness", "[hints]")
{
    media::Trace screen(600);
    for (std::size_t n = 0; n < screen.size(); ++n)
        screen[n].mean = n < 320 ? 90 : 120;
    CHECK(responseOf(reading::findHints(lampTrace(600, {250}), screen, lights).at(0)) == 320);
    screen.resize(252);
    CHECK_FALSE(reading::findHints(lampTrace(600, {250}), screen, lights).at(0).response);
    CHECK(reading::findHints({}, screen, lights).empty());
}

TEST_CASE("in a film, a shape that leaps aside and one that drifts are found at their first frame", "[hints][film]")
{
    // Grainy grey; lamp on the left; on the right a textured block, as light as what it covers on the whole.
    constexpr int width = 320, height = 180, frames = 420;
    const std::vector<std::size_t> presses{70, 190, 310};
    constexpr int leap = 121, drift = 247; // none after the third press
    const media::Rect lamp{20, 60, 40, 40}, screen{100, 20, 200, 140};
    const TempFolder folder;
    footage::StorageSpec storage;
    storage.gop = 50;
    std::vector<int> places(frames);
    std::iota(places.begin(), places.end(), 0);
    {
        const auto writer = footage::openFile(folder / "film.mp4", storage, width, height,
                                              footage::Stamps::even(places, storage.playbackRate, 0));
        Noise grain(1.5 * 257);
        footage::Frame frame(width, height);
        for (int n = 0; n < frames; ++n) {
            bool lit = false;
            for (const std::size_t press : presses)
                lit = lit || (n >= int(press) && n < int(press) + 60);
            const int block = 130 + (n >= leap ? 60 : 0) - (n >= drift ? 3 * std::min(n - drift + 1, 15) : 0);
            for (int y = 0; y < height; ++y)
                for (int x = 0; x < width; ++x) {
                    double level = 100 * 257;
                    if (lit && x >= lamp.x && x < lamp.x + lamp.width && y >= lamp.y && y < lamp.y + lamp.height)
                        level = 230 * 257;
                    if (x >= block && x < block + 40 && y >= 60 && y < 120)
                        level += ((x - block) / 10 % 2 ? 60 : -60) * 257;
                    frame.row(0, y)[x] = static_cast<std::uint16_t>(std::clamp(level + grain(), 0.0, 65535.0));
                    frame.row(1, y)[x] = frame.row(2, y)[x] = 32768;
                }
            writer->write(frame);
        }
        writer->finish();
    }
    const auto traces = media::traceRegions(*media::openFootage(folder / "film.mp4"), {lamp, screen});
    double low = 255, high = 0;
    for (const media::RegionLevels& levels : traces[1]) {
        low = std::min(low, levels.mean);
        high = std::max(high, levels.mean);
    }
    CHECK(high - low < 0.75); // what this film is for: too little for brightness to tell
    const auto hints = reading::findHints(traces[0], traces[1], lights);
    REQUIRE(hints.size() == 3);
    for (std::size_t i = 0; i < hints.size(); ++i)
        CHECK(hints[i].press.frame.value == std::int64_t(presses[i]));
    CHECK(responseOf(hints[0]) == leap);
    CHECK(responseOf(hints[1]) == drift);
    CHECK_FALSE(hints[2].response);
}
