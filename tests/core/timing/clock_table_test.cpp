#include "core/timing/picture_repeats.h"
#include "core/timing/reference_fit.h"
#include "tests/core/timing/lamp_film.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <iostream>
#include <map>
#include <string>

using namespace timing;

namespace {

constexpr double lampTolerance = 50e-6;

/// One capture of a lamp, as the clock page would settle it. Wrong: the true rate isn't among those that fit and lamp
/// call possible.
enum class Outcome { Right, Withheld, Wrong };

struct Row {
    int right = 0, withheld = 0, wrong = 0;
    int held = 0; ///< of those with a rate, how often the stated 95 % interval holds the truth
};

struct Told {
    Outcome outcome = Outcome::Withheld;
    bool held = false;
};

/// What a sparing codec makes of levels: whole numbers, a quarter of the change a frame late, a jump at each key
/// picture.
void compress(std::vector<double>& levels)
{
    double jump = 0, last = levels.front();
    for (std::size_t k = 0; k < levels.size(); ++k) {
        if (k % 30 == 0)
            jump = static_cast<double>(k / 30 % 5) - 2;
        const double level = levels[k] + jump;
        levels[k] = std::round(0.75 * level + 0.25 * last);
        last = level;
    }
}

struct Case {
    std::string kind;
    LampFilm film;
    double lampError = 0; ///< relative: what the lamp's maker says over what it does
};

Told toldOf(const Case& each)
{
    std::vector<double> levels = filmed(each.film);
    if (each.kind == "heavily compressed")
        compress(levels);
    const LampTrace trace = findLampEdges(levels);
    const PictureRepeats repeats = findRepeatsAtEdges(levels, trace);
    FitOptions options;
    options.framesPerPicture = repeats.framesPerPicture();
    if (each.kind == "loss in the stamps")
        options.gaps = {{FrameNumber{each.film.lost.front()}, std::ssize(each.film.lost)}};
    options.blended = repeats.verdict == PictureRepeats::Verdict::Blended;
    const ReferenceFit fit =
        fitReference(trace.edges, {each.film.lampFrequency * (1 + each.lampError), lampTolerance}, options);
    if (!fit.rate)
        return {};
    const double truth = each.film.captureRate;
    const bool possible = fit.lowest * (1 - lampTolerance) <= truth && truth <= fit.highest * (1 + lampTolerance);
    if (!possible)
        WARN(each.kind << " seed " << each.film.seed << ": " << fit.lowest << " to " << fit.highest << " for "
                       << truth);
    return {possible ? Outcome::Right : Outcome::Wrong, fit.low95() <= truth && truth <= fit.high95()};
}

Case drawn(const std::string& kind, std::uint64_t seed)
{
    std::mt19937_64 random(seed * 7919 + 17);
    const auto uniform = [&](double from, double to) {
        return std::uniform_real_distribution<double>(from, to)(random);
    };
    const double nominal[] = {240000.0 / 1001, 240, 480, 960000.0 / 1001, 960, 1000, 1200};
    const double off[] = {50e-6, -50e-6, 300e-6, 1e-3, -5e-3, 0.01, -0.03, 0.03};
    Case each{kind, {}, 0};
    LampFilm& film = each.film;
    film.seed = seed;
    film.captureRate = nominal[random() % std::size(nominal)] * (1 + off[random() % std::size(off)]);
    film.exposure = uniform(0.1, 1);
    film.noise = uniform(0.5, 6);
    film.lampPhase = uniform(0, 1);
    film.duty = uniform(0.3, 0.7);
    each.lampError = uniform(-lampTolerance, lampTolerance);
    const double stated = std::round(film.captureRate / uniform(8, 60) * 100) / 100;
    film.frames = static_cast<int>(uniform(25, 80) * film.captureRate / stated);
    film.lampFrequency = stated;
    if (kind == "a 24th of the rate")
        film.lampFrequency = film.captureRate / 24;
    if (kind == "dark") {
        film.lit = film.dark + uniform(6, 20);
        film.noise = uniform(0.4, 0.8);
    }
    if (kind == "lost frame")
        film.lost = {static_cast<int>(uniform(2, film.frames - 2))};
    if (kind == "loss in the stamps")
        for (int i = 0, at = static_cast<int>(uniform(2, film.frames - 6)); i < 3; ++i)
            film.lost.push_back(at + i);
    if (kind == "several lost") {
        for (int i = 0; i < 3; ++i)
            film.lost.push_back(static_cast<int>((i + uniform(0.1, 0.9)) * film.frames / 3));
        film.lost.push_back(film.lost.back() + 1);
    }
    if (kind == "every 2nd repeated" || kind == "every 4th real")
        film.repeat = kind == "every 4th real" ? 4 : 2;
    if (kind == "every 2nd blended")
        film.blend = true;
    return each;
}

/// A number from the environment, for longer tables than the tests' own.
int asked(const char* variable, int otherwise)
{
    const char* text = std::getenv(variable);
    return text ? std::atoi(text) : otherwise;
}

} // namespace

TEST_CASE("settling by a lamp is right or withheld in hundreds of captures", "[timing][clock-table]")
{
    const std::pair<const char*, int> kinds[] = {{"plain", 120},
                                                 {"a 24th of the rate", 80},
                                                 {"dark", 50},
                                                 {"heavily compressed", 60},
                                                 {"loss in the stamps", 50},
                                                 {"lost frame", 80},
                                                 {"several lost", 40},
                                                 {"every 2nd repeated", 40},
                                                 {"every 4th real", 30},
                                                 {"every 2nd blended", 40}};
    std::map<std::string, Row> table;
    Row all;
    const int times = asked("TALLYFRAME_CLOCK_TIMES", 1), firstSeed = asked("TALLYFRAME_CLOCK_SEED", 31'000'001);
    for (const auto& [kind, count] : kinds)
        for (int i = 0; i < count * times; ++i) {
            const Told told = toldOf(drawn(kind, static_cast<std::uint64_t>(i + firstSeed)));
            for (Row* row : {&table[kind], &all}) {
                row->right += told.outcome == Outcome::Right;
                row->withheld += told.outcome == Outcome::Withheld;
                row->wrong += told.outcome == Outcome::Wrong;
                row->held += told.held;
            }
        }
    table["all"] = all;
    for (const auto& [kind, row] : table) {
        const int told = row.right + row.wrong;
        std::cout << kind << ": " << row.right << " right, " << row.withheld << " withheld, " << row.wrong
                  << " wrong; 95 % interval holds " << row.held << " of " << told << '\n';
        INFO(kind);
        CHECK(row.held >= 0.95 * told);
    }
    CHECK(all.wrong == 0);
    CHECK(all.withheld * 10 < all.right + all.withheld + all.wrong);
    CHECK(table["a 24th of the rate"].right >= 0.95 * 80 * times);
}
