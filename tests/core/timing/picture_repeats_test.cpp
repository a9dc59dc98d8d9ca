#include "core/timing/picture_repeats.h"
#include "tests/core/timing/lamp_film.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <functional>

using Catch::Contains;
using namespace timing;
using Verdict = PictureRepeats::Verdict;

namespace {

/// Cells over which a bright thing travels, `repeat` pictures alike, with the noise that a cell's mean has.
std::vector<std::vector<double>> travelling(int frames, double speed, double noise, std::uint64_t seed,
                                            const std::function<double(int)>& placeOf)
{
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal(0, 1);
    std::vector<std::vector<double>> cells(24);
    for (std::size_t c = 0; c < cells.size(); ++c)
        for (int k = 0; k < frames; ++k) {
            const double at = placeOf(k) * speed;
            const double away = std::remainder(static_cast<double>(c) - at, static_cast<double>(cells.size()));
            cells[c].push_back(60 + 120 * std::exp(-away * away / 2) + noise * normal(random));
        }
    return cells;
}

} // namespace

TEST_CASE("pictures that repeat in a rhythm are found with their period", "[timing]")
{
    struct Row {
        int period, adding;
        std::function<double(int)> place;
    };
    const Row row = GENERATE(values<Row>({
        {2, 1, [](int k) { return k / 2 * 2.0; }},
        {4, 1, [](int k) { return k / 4 * 4.0; }},
        {4, 3, [](int k) { return k % 4 == 3 ? k - 1.0 : k; }},
        {5, 4, [](int k) { return k % 5 == 2 ? k - 1.0 : k; }},
        {3, 1, [](int k) { return k / 3 * 3.0; }},
    }));
    const PictureRepeats found = findRepeats(travelling(400, 0.05, 0.02, 5, row.place));
    REQUIRE(found.verdict == Verdict::Periodic);
    CHECK(found.period == row.period);
    CHECK(found.adding == row.adding);
    CHECK_THAT(found.sentence(960), Contains("may really capture at " + std::to_string(960 * row.adding / row.period) + " a second"));
}

TEST_CASE("steady movement adds something in every picture", "[timing]")
{
    const PictureRepeats found = findRepeats(travelling(400, GENERATE(0.03, 0.05, 0.1), 0.02, 5, [](int k) { return k; }));
    CHECK(found.verdict == Verdict::AllAdd);
    CHECK(found.repeats.empty());
}

TEST_CASE("single repeats are listed", "[timing]")
{
    const PictureRepeats found = findRepeats(travelling(400, 0.05, 0.02, 5, [](int k) { return k == 101 || k == 230 || k == 231 || k == 300 || k == 333 ? k - 1.0 : k; }));
    CHECK(found.verdict == Verdict::Irregular);
    CHECK(std::ranges::find(found.repeats, FrameNumber{101}) != found.repeats.end());
}

TEST_CASE("where nothing moves nothing is told", "[timing]")
{
    SECTION("noise") { CHECK(findRepeats(travelling(400, 0, 0.3, 5, [](int) { return 0; })).verdict == Verdict::CantTell); }
    SECTION("still") { CHECK(findRepeats(travelling(400, 0, 0, 5, [](int) { return 0; })).verdict == Verdict::CantTell); }
    SECTION("a codec that refreshes every fourth picture")
    {
        auto cells = travelling(400, 0, 0.5, 5, [](int) { return 0; });
        for (auto& cell : cells)
            for (std::size_t k = 0; k < cell.size(); ++k)
                cell[k] = cell[k / 4 * 4];
        CHECK(findRepeats(cells).verdict == Verdict::CantTell);
    }
    SECTION("no pictures") { CHECK(findRepeats({}).verdict == Verdict::CantTell); }
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
