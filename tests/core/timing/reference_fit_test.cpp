#include "core/timing/reference_fit.h"
#include "tests/core/timing/lamp_film.h"

#include <catch2/catch.hpp>

using Catch::Contains;
using Catch::WithinAbs;
using Catch::WithinRel;
using namespace timing;

namespace {

/// Exact edges: flash n is first visible in the first whole frame at or after start + n * framesAFlash.
std::vector<LampEdge> exactEdges(double start, double framesAFlash, int flashes)
{
    std::vector<LampEdge> edges;
    for (int n = 0; n < flashes; ++n) {
        const auto k = static_cast<std::int64_t>(std::ceil(start + n * framesAFlash));
        edges.push_back({{k - 1}, {k}, EdgeKind::On, 0, 0, 1});
    }
    return edges;
}

ReferenceFit fitOf(const LampFilm& film, double tolerance = 0, FitOptions options = {})
{
    return fitReference(findLampEdges(filmed(film)).edges, {film.lampFrequency, tolerance}, options);
}

std::int64_t frameOf(const ReferenceFit& fit, FitRemark::Kind kind)
{
    for (const FitRemark& remark : fit.remarks)
        if (remark.kind == kind && remark.frame)
            return remark.frame->value;
    return -1;
}

} // namespace

TEST_CASE("the fit holds every rate that the edges allow and no other", "[timing]")
{
    // Two edges 100 frames and 10 flashes apart: more than 99 and less than 101 frames lie between the events.
    const std::vector<LampEdge> edges{
        {{4}, {5}, EdgeKind::On, 0, 0, 1}, {{14}, {15}, EdgeKind::On, 0, 0, 1}, {{104}, {105}, EdgeKind::On, 0, 0, 1}};
    const ReferenceFit fit = fitReference(edges, {24, 0});
    REQUIRE(fit.rate);
    CHECK_THAT(fit.lowest, WithinRel(24 * 9.9, 1e-12));
    CHECK_THAT(fit.highest, WithinRel(24 * 10.1, 1e-12));
    CHECK_THAT(*fit.rate, WithinRel(240, 1e-12));
    CHECK_THAT(fit.standardUncertainty(), WithinRel(2.4 / std::sqrt(3.0), 1e-12));
    CHECK(fit.low95() <= fit.lowest);
    CHECK(fit.high95() >= fit.highest);
    CHECK(fit.edges[2].flash == 10);
    CHECK(fit.has(FitRemark::Kind::FewEdges));
}

TEST_CASE("dithered phases make the fit much sharper than two edges, also by least squares", "[timing]")
{
    const ReferenceFit fit = fitReference(exactEdges(0.3, 239.76 / 9.7, 60), {9.7, 20e-6});
    REQUIRE(fit.rate);
    CHECK(fit.remarks.empty());
    CHECK(fit.lowest <= 239.76);
    CHECK(fit.highest >= 239.76);
    CHECK(fit.fitUncertainty < 1e-4); // two edges of the same length: 0.58 / (59 * 24.7) = 4e-4
    CHECK_THAT(fit.lampUncertainty, WithinRel(20e-6 / std::sqrt(3.0), 1e-12));
    REQUIRE(fit.leastSquares);
    CHECK_THAT(fit.leastSquares->rate, WithinAbs(239.76, 5 * fit.leastSquares->standardUncertainty));
    CHECK_THAT(fit.leastSquares->residualSd, WithinAbs(0.2887, 0.05)); // uniform phases: 1 / sqrt(12)
}

TEST_CASE("a frequency that is a 24th of the rate is warned about and the truth still held", "[timing]")
{
    const double start = GENERATE(0.01, 0.3, 0.5, 0.99);
    const bool known = GENERATE(false, true);
    FitOptions options;
    options.allPicturesAdd = known;
    const ReferenceFit fit = fitReference(exactEdges(start, 24, 60), {10, 0}, options);
    REQUIRE(fit.rate);
    CHECK(fit.has(FitRemark::Kind::NoDither));
    CHECK(fit.has(FitRemark::Kind::CoarseFrames) == !known);
    CHECK(fit.low95() <= 240);
    CHECK(fit.high95() >= 240);
    // One whole frame either way over the whole; steps of 24 would also come from pictures of which three of four
    // repeat others.
    CHECK_THAT(fit.fitUncertainty, WithinRel((known ? 1 : 5) / (59 * 24 * std::sqrt(3.0)), 0.02));
    for (const FitRemark& remark : fit.remarks)
        if (remark.kind == FitRemark::Kind::NoDither)
            CHECK_THAT(remark.sentence, Contains("10 Hz") && Contains("would do better"));
}

TEST_CASE("blends that nothing else shows are seen by how far edges stray, and allowed for", "[timing]")
{
    LampFilm film;
    film.captureRate = 247.2;
    film.lampFrequency = 23.94;
    film.duty = 0.31;
    film.exposure = 0.74;
    film.noise = 0.5;
    film.frames = 525;
    film.blend = true;
    film.seed = static_cast<std::uint64_t>(GENERATE(1, 2, 3));
    const ReferenceFit fit = fitOf(film);
    CHECK((!fit.rate || fit.has(FitRemark::Kind::Rough)));
    if (fit.rate) {
        CHECK(fit.lowest <= film.captureRate);
        CHECK(fit.highest >= film.captureRate);
    } else
        CHECK_THAT(fit.refused, Contains("blends"));
}

TEST_CASE("one lost frame is named with its place and the rate stays right", "[timing]")
{
    LampFilm film;
    film.captureRate = 239.1;
    film.frames = 1500;
    const int at = GENERATE(300, 701, 1102);
    film.lost = {at};
    film.seed = static_cast<std::uint64_t>(at);
    const ReferenceFit fit = fitOf(film);
    REQUIRE(fit.rate);
    REQUIRE(fit.has(FitRemark::Kind::LostFrames));
    CHECK_THAT(static_cast<double>(frameOf(fit, FitRemark::Kind::LostFrames)),
               WithinAbs(at, 60)); // within three flashes
    CHECK(fit.low95() <= film.captureRate);
    CHECK(fit.high95() >= film.captureRate);
}

TEST_CASE("frames that the stamps show missing are counted in and no remark is made", "[timing]")
{
    LampFilm film;
    film.lost = {400, 401, 402};
    const ReferenceFit fit = fitOf(film, 0, {{{{400}, 3}}, 1, false, {}, false});
    REQUIRE(fit.rate);
    CHECK(fit.remarks.empty());
    CHECK(fit.low95() <= 240);
    CHECK(fit.high95() >= 240);
}

TEST_CASE("a wrong edge is named, left out and doesn't move the rate", "[timing]")
{
    auto edges = exactEdges(0.3, 24.7, 40);
    SECTION("off by some frames")
    {
        edges[17].frame.value += 2;
        edges[17].before.value += 2;
    }
    SECTION("off by half a flash")
    {
        edges[17] = {{edges[16].frame.value + 11}, {edges[16].frame.value + 12}, EdgeKind::On, 0, 0, 1};
    }
    const ReferenceFit fit = fitReference(edges, {10, 0});
    REQUIRE(fit.rate);
    CHECK(frameOf(fit, FitRemark::Kind::WrongEdge) == edges[17].frame.value);
    CHECK_FALSE(fit.edges[17].used);
    CHECK(fit.lowest <= 247);
    CHECK(fit.highest >= 247);
}

TEST_CASE("flashes that weren't seen leave their number out", "[timing]")
{
    auto edges = exactEdges(0.3, 24.7, 40);
    edges.erase(edges.begin() + 10, edges.begin() + 13);
    const ReferenceFit fit = fitReference(edges, {10, 0});
    REQUIRE(fit.rate);
    CHECK(fit.remarks.empty());
    CHECK(fit.edges[10].flash == 13);
    CHECK(fit.lowest <= 247);
    CHECK(fit.highest >= 247);
}

TEST_CASE("a drifting rate gives none and says by how much it drifts", "[timing]")
{
    LampFilm film;
    film.frames = 3000;
    film.rateDrift = GENERATE(0.01, -0.01, 0.004);
    const ReferenceFit fit = fitOf(film);
    CHECK_FALSE(fit.rate);
    CHECK(fit.has(FitRemark::Kind::Drift));
    CHECK_THAT(fit.refused, Contains("drifts"));
}

TEST_CASE("a rate twice what the file says points to a wrong harmonic", "[timing]")
{
    const RateEvidence tag{Origin::Tag, 240, std::nullopt, 0.017, ""};
    const ReferenceFit fit = fitReference(exactEdges(0.3, 24.7, 40), {19.4, 0}, {{}, 1, false, {tag}, false});
    REQUIRE(fit.rate);
    CHECK(fit.has(FitRemark::Kind::Factor));
    CHECK_THAT(fit.remarks.front().sentence, Contains("9.7 Hz"));
}

TEST_CASE("edges on every second frame only are recognised", "[timing]")
{
    LampFilm film;
    film.repeat = 2;
    film.frames = 2000;
    film.lampFrequency = 9.3;
    const ReferenceFit fit = fitOf(film);
    REQUIRE(fit.rate);
    CHECK(fit.has(FitRemark::Kind::CoarseFrames));
    CHECK(fit.low95() <= 240);
    CHECK(fit.high95() >= 240);
}

TEST_CASE("light without a rhythm and too few flashes are refused with a sentence", "[timing]")
{
    CHECK_THAT(fitReference({}, {10, 0}).refused, Contains("at least twice"));
    std::vector<LampEdge> chance;
    for (const int k : {3, 50, 61, 130, 139, 201, 260, 300, 307, 390})
        chance.push_back({{k - 1}, {k}, EdgeKind::On, 0, 0, 1});
    const ReferenceFit fit = fitReference(chance, {10, 0});
    CHECK_FALSE(fit.rate);
    CHECK_FALSE(fit.refused.empty());
}

TEST_CASE("two events bound the rate by one frame either way", "[timing]")
{
    const ReferenceFit fit = fitTwoEvents({2400}, Seconds{10}, 1e-4);
    CHECK_THAT(*fit.rate, WithinRel(240, 1e-12));
    CHECK_THAT(fit.lowest, WithinRel(239.9, 1e-12));
    CHECK_THAT(fit.highest, WithinRel(240.1, 1e-12));
    CHECK_THAT(fit.standardUncertainty(), WithinRel(240 * std::hypot(1.0 / 2400, 1e-4) / std::sqrt(3.0), 1e-9));
}
