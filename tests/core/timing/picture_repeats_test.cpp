#include "core/timing/picture_repeats.h"
#include "tests/core/timing/lamp_film.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <random>

using Catch::Contains;
using namespace timing;
using Verdict = PictureRepeats::Verdict;

namespace {

/// A picture of 12 by 8 cells, as its frames differ. A thing passes over one row of cells, in others the sensor's noise
/// sparkles.
struct Passing {
    int frames = 400;
    std::function<bool(int)> repeated = [](int) { return false; }; ///< the camera stored the picture before once more
    std::function<bool(int)> moves = [](int) { return true; };     ///< the thing is shown at a new place
    float noise = 0.6f;                                            ///< what the codec leaves of it
    float bend = 0.5f;                                             ///< of the change
    int everyAlone = 0; ///< period of pictures stored by themselves; 0: the first only
    Coding coding = Coding::Forward;
};

std::vector<FrameChange> changesOf(const Passing& film)
{
    std::mt19937_64 random(5);
    std::normal_distribution<float> normal(0, 1);
    std::vector<FrameChange> changes(static_cast<std::size_t>(film.frames));
    for (int k = 1; k < film.frames; ++k) {
        FrameChange& change = changes[k];
        change.known = true;
        change.bendKnown = k > 1;
        change.coding = film.everyAlone > 0 && k % film.everyAlone == 0 ? Coding::Alone : film.coding;
        const bool refreshed = film.everyAlone > 0 && k % film.everyAlone == 0;
        const bool repeated = film.repeated(k) && !refreshed;
        change.identical = repeated && film.coding == Coding::Alone;
        for (int cell = 0; cell < 96; ++cell) {
            const bool inWay = cell / 12 == 4 && cell % 12 < 6;
            const float noise = film.noise
                                * (change.identical ? 0
                                   : repeated       ? 0.3f
                                                    : 1.0f)
                                * (1 + 0.2f * normal(random));
            const float moved = inWay && film.moves(k) && !repeated ? 8 + normal(random) : refreshed ? 1.5f : 0;
            change.cells.push_back({std::hypot(moved, noise), 0.02f * noise * normal(random), film.bend * moved});
        }
    }
    return changes;
}

} // namespace

TEST_CASE("pictures that repeat in a rhythm are found with their period", "[timing]")
{
    struct Row {
        int period, adding;
    };
    const Row row = GENERATE(values<Row>({{2, 1}, {3, 1}, {3, 2}, {4, 1}, {4, 3}, {5, 4}}));
    Passing film;
    film.repeated = [row](int k) { return k % row.period >= row.adding; };
    const PictureRepeats found = findRepeats(changesOf(film));
    REQUIRE(found.verdict == Verdict::Periodic);
    CHECK(found.period == row.period);
    CHECK(found.adding == row.adding);
    CHECK_THAT(found.sentence(960),
               Contains("may really capture at " + std::to_string(960 * row.adding / row.period) + " a second"));
    SECTION("but where the codec took the noise, it may be a screen that is slower than the camera")
    {
        film.noise = 0;
        CHECK(findRepeats(changesOf(film)).verdict == Verdict::CantTell);
    }
    SECTION("pictures that are stored by themselves are the same only if they were the same before")
    {
        film.coding = Coding::Alone;
        CHECK(findRepeats(changesOf(film)).verdict == Verdict::Periodic);
        film.noise = 0; // or if nothing sparkles
        CHECK(findRepeats(changesOf(film)).verdict == Verdict::CantTell);
    }
}

TEST_CASE("steady movement adds something in every picture", "[timing]")
{
    Passing film;
    film.everyAlone = GENERATE(0, 9, 30);
    const PictureRepeats found = findRepeats(changesOf(film));
    CHECK(found.verdict == Verdict::AllAdd);
    CHECK(found.repeats.empty());
}

TEST_CASE("a screen that is slower than the camera doesn't make pictures repeat", "[timing]")
{
    Passing film;
    film.moves = [](int k) { return k % 4 == 0; };
    film.noise = GENERATE(0.0f, 0.1f, 0.6f);
    const Verdict verdict = findRepeats(changesOf(film)).verdict;
    CHECK((verdict == Verdict::CantTell || verdict == Verdict::AllAdd));
}

TEST_CASE("noise that a codec leaves out of every second picture doesn't make pictures repeat", "[timing]")
{
    Passing film;
    film.moves = [](int k) { return k % 2 == 0; };
    std::vector<FrameChange> changes = changesOf(film);
    for (std::size_t k = 1; k < changes.size(); k += 2) {
        changes[k].coding = Coding::Between;
        for (CellChange& cell : changes[k].cells)
            cell.change *= 0.1f;
    }
    CHECK(findRepeats(changes).verdict == Verdict::CantTell);
}

TEST_CASE("single repeats are listed", "[timing]")
{
    Passing film;
    film.repeated = [](int k) { return k == 101 || k == 230 || k == 231 || k == 300 || k == 333; };
    const PictureRepeats found = findRepeats(changesOf(film));
    CHECK(found.verdict == Verdict::Irregular);
    CHECK(found.repeats == std::vector<FrameNumber>{{101}, {230}, {231}, {300}, {333}});
}

TEST_CASE("every second picture between its neighbours is a blend", "[timing]")
{
    std::vector<FrameChange> changes = changesOf({});
    for (std::size_t k = 2; k < changes.size(); k += 2) // the bend at k is that of the picture before
        for (CellChange& cell : changes[k].cells)
            cell.bend *= 0.1f;
    const PictureRepeats found = findRepeats(changes);
    CHECK(found.verdict == Verdict::Blended);
    CHECK(found.period == 2);
    SECTION("unless it is every second picture that is stored from earlier and later ones")
    {
        for (std::size_t k = 1; k < changes.size(); k += 2)
            changes[k].coding = Coding::Between;
        CHECK(findRepeats(changes).verdict == Verdict::CantTell);
    }
}

TEST_CASE("where nothing moves nothing is told", "[timing]")
{
    Passing film;
    film.moves = [](int) { return false; };
    film.noise = GENERATE(0.0f, 0.3f);
    film.everyAlone = GENERATE(0, 4);
    CHECK(findRepeats(changesOf(film)).verdict == Verdict::CantTell);
    CHECK(findRepeats({}).verdict == Verdict::CantTell);
    CHECK(findRepeats(std::vector<FrameChange>(200)).verdict == Verdict::CantTell);
}

TEST_CASE("light that comes and goes in step moves nothing", "[timing]")
{
    std::vector<FrameChange> changes = changesOf({});
    for (std::size_t k = 1; k < changes.size(); ++k)
        for (CellChange& cell : changes[k].cells)
            cell = k % 4 == 0 ? CellChange{3, 2.9f, 1.5f} : CellChange{0.3f, 0, 0.3f};
    CHECK(findRepeats(changes).verdict == Verdict::CantTell);
}

TEST_CASE("a lamp just under half the claimed rate shows made-up pictures", "[timing]")
{
    LampFilm film;
    film.lampFrequency = 0.47 * 240;
    CHECK(findRepeatsByBlinking(filmed(film), 0.47).verdict == Verdict::AllAdd);
    film.repeat = 2;
    const PictureRepeats twice = findRepeatsByBlinking(filmed(film), 0.47);
    CHECK(twice.verdict == Verdict::Periodic);
    CHECK(twice.period == 2);
    film.repeat = 4;
    const PictureRepeats four = findRepeatsByBlinking(filmed(film), 0.47);
    CHECK(four.verdict == Verdict::Periodic);
    CHECK(four.period == 4);
    film.repeat = 1;
    film.blend = true;
    const PictureRepeats blended = findRepeatsByBlinking(filmed(film), 0.47);
    CHECK(blended.verdict == Verdict::Blended);
    CHECK(blended.period == 2);
    film.lit = film.dark;
    CHECK(findRepeatsByBlinking(filmed(film), 0.47).verdict == Verdict::CantTell);
}
