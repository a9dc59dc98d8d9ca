#include "core/timing/lamp_edges.h"
#include "tests/core/timing/lamp_film.h"

#include <catch2/catch.hpp>
#include <limits>

using Catch::Contains;
using Catch::WithinAbs;
using namespace timing;

TEST_CASE("a lamp's edges are found where it changes", "[timing]")
{
    LampFilm film;
    film.lampPhase = 0.4;
    const LampTrace trace = findLampEdges(filmed(film));
    CHECK(trace.problem.empty());
    CHECK_THAT(trace.dark, WithinAbs(20, 1));
    CHECK_THAT(trace.lit, WithinAbs(180, 1));
    CHECK_THAT(trace.noise, WithinAbs(1.5, 0.4));
    // On at flash phase 0, off at phase 0.5: phase 0.4 + k F / f passes one of them every f / F / 2 frames.
    REQUIRE(trace.edges.size() == 81);
    double half = 1;
    for (const LampEdge& edge : trace.edges) {
        const double event = (half / 2 - film.lampPhase) / film.lampFrequency * film.captureRate;
        const auto frame = static_cast<double>(edge.frame.value);
        CHECK(frame - 1 + film.exposure / 2 - edge.early <= event);
        CHECK(event <= frame + film.exposure / 2 + edge.late);
        CHECK(edge.before.value == edge.frame.value - 1);
        CHECK((edge.kind == EdgeKind::Off) == (static_cast<int>(half) % 2 == 1));
        half += 1;
    }
}

TEST_CASE("an edge close to half lit has doubt, others have none", "[timing]")
{
    std::vector<double> levels(60, 10);
    std::mt19937 random(3);
    std::normal_distribution<double> normal(0, 1);
    for (std::size_t k = 20; k < 40; ++k)
        levels[k] = 110;
    levels[20] = 61; // just beyond half
    levels[40] = 90; // still lit in the main
    for (double& level : levels)
        level += 0.5 * normal(random);
    const LampTrace trace = findLampEdges(levels);
    REQUIRE(trace.edges.size() == 2);
    CHECK(trace.edges[0].frame.value == 20);
    CHECK(trace.edges[0].late > 0);
    CHECK(trace.edges[0].early == 0);
    CHECK(trace.edges[0].confidence < 1);
    CHECK(trace.edges[1].frame.value == 41);
    CHECK(trace.edges[1].early == 0);
    CHECK(trace.edges[1].confidence == 1);
}

TEST_CASE("frames that can't be read widen the edge across them", "[timing]")
{
    std::vector<double> levels(60, 10);
    std::fill(levels.begin() + 30, levels.end(), 100);
    levels[28] = levels[29] = levels[30] = std::numeric_limits<double>::quiet_NaN();
    const LampTrace trace = findLampEdges(levels);
    REQUIRE(trace.edges.size() == 1);
    CHECK(trace.edges[0].before.value == 27);
    CHECK(trace.edges[0].frame.value == 31);
}

TEST_CASE("slow exposure changes are followed", "[timing]")
{
    LampFilm film;
    std::vector<double> levels = filmed(film);
    const std::size_t edges = findLampEdges(levels).edges.size();
    for (std::size_t k = 0; k < levels.size(); ++k)
        levels[k] *= 0.4 + 0.6 * static_cast<double>(k) / static_cast<double>(levels.size());
    CHECK(findLampEdges(levels).edges.size() == edges);
}

TEST_CASE("half lit pictures that are stored several times over are no noise", "[timing]")
{
    LampFilm film;
    film.captureRate = 1200;
    film.lampFrequency = 1200 / 24.69;
    film.frames = 340;
    film.exposure = 1;
    film.noise = 0.3;
    film.repeat = GENERATE(2, 4);
    const LampTrace trace = findLampEdges(filmed(film));
    CHECK(trace.problem.empty());
    CHECK(trace.edges.size() >= 26);
    CHECK(trace.noise < 2);
}

TEST_CASE("no lamp is found in noise, in a dark or in a still region", "[timing]")
{
    LampFilm film;
    film.lit = film.dark;
    film.noise = GENERATE(0.0, 0.3, 3.0);
    const LampTrace trace = findLampEdges(filmed(film));
    CHECK(trace.edges.empty());
    CHECK_THAT(trace.problem, Contains("region"));
    CHECK_FALSE(findLampEdges({}).problem.empty());
    CHECK_FALSE(findLampEdges(std::vector<double>(50, std::numeric_limits<double>::quiet_NaN())).problem.empty());
}
