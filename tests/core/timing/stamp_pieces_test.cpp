#include "core/timing/stamp_pieces.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace timing;

namespace {

using Stamps = std::vector<std::optional<Rational>>;

/// So many frames at each of these steps, in seconds, rounded to `tick`.
Stamps stampsOf(const std::vector<std::pair<int, double>>& stretches, const Rational& tick, double jitter = 0,
                std::uint64_t seed = 1)
{
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal(0, jitter > 0 ? jitter : 1);
    Stamps stamps;
    double t = 0;
    for (const auto& [frames, step] : stretches)
        for (int k = 0; k < frames; ++k) {
            const double at = t + (jitter > 0 ? normal(random) : 0);
            stamps.push_back(Rational(std::llround(at / tick.toDouble()) * tick.numerator(), tick.denominator()));
            t += step;
        }
    return stamps;
}

const Rational fine(1, 90000), msTick(1, 1000);

} // namespace

TEST_CASE("a slow middle is told apart from what comes before and after", "[timing][pieces]")
{
    const Rational tick = GENERATE(fine, msTick);
    // 240 captured, kept whole: played at once, then slowed to 30 a second, then at once again.
    const Stamps stamps = stampsOf({{120, 1 / 240.0}, {200, 1 / 30.0}, {90, 1 / 240.0}}, tick);
    const auto pieces = stampPieces(stamps, tick);
    REQUIRE(pieces.size() == 3);
    CHECK(pieces[0].first.value == 0);
    CHECK(pieces[0].last.value == 120); // the step to frame 120 is still a short one
    CHECK(pieces[1].first.value == 121);
    CHECK(pieces[1].last.value == 320);
    CHECK(pieces[2].first.value == 321);
    CHECK(pieces[2].last.value == 409);
    // A rounded step is known to half a tick over the piece's length.
    const double reach = tick.toDouble() / 80;
    CHECK_THAT(pieces[0].pattern.step.value(), Catch::WithinAbs(1 / 240.0, reach));
    CHECK_THAT(pieces[1].pattern.step.value(), Catch::WithinAbs(1 / 30.0, reach));
    CHECK_THAT(pieces[2].pattern.step.value(), Catch::WithinAbs(1 / 240.0, reach));
}

TEST_CASE("frames in which the speed changes are a piece without a step", "[timing][pieces]")
{
    std::vector<std::pair<int, double>> stretches{{100, 1 / 240.0}};
    for (int k = 1; k <= 24; ++k)
        stretches.push_back({1, 1 / 240.0 + (1 / 30.0 - 1 / 240.0) * k / 25});
    stretches.push_back({150, 1 / 30.0});
    const auto pieces = stampPieces(stampsOf(stretches, fine), fine);
    REQUIRE(pieces.size() == 3);
    CHECK_FALSE(pieces[1].pattern.step);
    CHECK(pieces[1].pattern.irregular);
    // Frame 100 is shown a fast step after its predecessor, frame 125 a changing one.
    CHECK(pieces[1].first.value == 101);
    CHECK(pieces[1].last.value == 123);
    CHECK(pieces[2].first.value == 124);
}

TEST_CASE("lost frames within a piece stay its gaps, numbered as in the file", "[timing][pieces]")
{
    const Stamps stamps = stampsOf(
        {{79, 1 / 240.0}, {1, 3 / 240.0}, {80, 1 / 240.0}, {99, 1 / 30.0}, {1, 2 / 30.0}, {100, 1 / 30.0}}, fine);
    const auto pieces = stampPieces(stamps, fine);
    REQUIRE(pieces.size() == 2);
    CHECK(pieces[0].pattern.gaps == std::vector<Gap>{{{80}, 2}});
    CHECK(pieces[1].pattern.gaps == std::vector<Gap>{{{260}, 1}});
}

TEST_CASE("a lost frame right after a boundary doesn't cost the piece its first frames", "[timing][pieces]")
{
    const auto pieces =
        stampPieces(stampsOf({{100, 1 / 240.0}, {4, 1 / 30.0}, {1, 3 / 30.0}, {100, 1 / 30.0}}, fine), fine);
    REQUIRE(pieces.size() == 2);
    CHECK(pieces[1].first.value == 101);
    CHECK(pieces[1].pattern.gaps == std::vector<Gap>{{{105}, 2}});
}

TEST_CASE("measured times that change their rate are told apart too", "[timing][pieces]")
{
    // A phone that exposes longer in the dark: 30 a second, then 15, stamps half a millisecond off.
    const auto pieces = stampPieces(stampsOf({{150, 1 / 30.0}, {150, 1 / 15.0}}, fine, 5e-4), fine);
    REQUIRE(pieces.size() == 2);
    CHECK(std::abs(pieces[1].first.value - 151) <= 1); // jitter may blur the frame at the boundary
    for (const StampPiece& piece : pieces)
        CHECK(piece.pattern.variesAsRealTimes);
    CHECK_THAT(pieces[0].pattern.step.value(), Catch::WithinRel(1 / 30.0, 2e-3)); // 0.5 ms over 150 frames
    CHECK_THAT(pieces[1].pattern.step.value(), Catch::WithinRel(1 / 15.0, 2e-3));
}

TEST_CASE("one step throughout, lost frames or chance make no pieces", "[timing][pieces]")
{
    CHECK(stampPieces(stampsOf({{400, 1 / 30.0}}, fine), fine).empty());
    CHECK(stampPieces(stampsOf({{100, 1 / 240.0}, {1, 6 / 240.0}, {200, 1 / 240.0}}, fine), fine).empty());
    CHECK(stampPieces(stampsOf({{400, 1 / 240.0}}, fine, 3e-4), fine).empty());
    CHECK(stampPieces({}, fine).empty());
    std::mt19937_64 random(7);
    std::vector<std::pair<int, double>> chance;
    for (int k = 0; k < 300; ++k)
        chance.push_back({1, std::uniform_real_distribution<double>(0.001, 0.1)(random)});
    CHECK(stampPieces(stampsOf(chance, fine), fine).empty());
}

TEST_CASE("frames without a stamp, equal and backward stamps stop nothing", "[timing][pieces]")
{
    Stamps stamps = stampsOf({{120, 1 / 240.0}, {200, 1 / 30.0}}, fine);
    stamps[40].reset();
    stamps[200].reset();
    stamps[90] = stamps[89];
    const auto pieces = stampPieces(stamps, fine);
    REQUIRE(pieces.size() == 2);
    CHECK(pieces[0].pattern.unstamped == std::vector<FrameNumber>{{40}});
    CHECK(pieces[1].pattern.unstamped == std::vector<FrameNumber>{{200}});
    CHECK(pieces[0].pattern.repeats == std::vector<FrameNumber>{{90}});
}

TEST_CASE("for hundreds of drawn ramps the boundaries are right to a frame or there are none", "[timing][pieces]")
{
    std::mt19937_64 random(4711);
    const auto uniform = [&](double from, double to) {
        return std::uniform_real_distribution<double>(from, to)(random);
    };
    int right = 0, none = 0;
    for (int i = 0; i < 300; ++i) {
        const double rates[] = {240, 240000.0 / 1001, 120, 960, 480}, slow[] = {30, 30000.0 / 1001, 25, 24};
        const double fastStep = 1 / rates[random() % 5], slowStep = 1 / slow[random() % 4];
        const int a = static_cast<int>(uniform(20, 300)), b = static_cast<int>(uniform(20, 300)),
                  c = static_cast<int>(uniform(20, 300));
        const Rational tick = random() % 2 ? fine : msTick;
        const auto pieces = stampPieces(stampsOf({{a, fastStep}, {b, slowStep}, {c, fastStep}}, tick), tick);
        if (pieces.empty()) {
            ++none;
            continue;
        }
        REQUIRE(pieces.size() == 3);
        CHECK(std::abs(pieces[1].first.value - (a + 1)) <= 1);
        CHECK(std::abs(pieces[2].first.value - (a + b + 1)) <= 1);
        CHECK_THAT(pieces[1].pattern.step.value(), Catch::WithinRel(slowStep, 2e-3)); // 1 ms of rounding over 20 frames
        ++right;
    }
    CHECK(right >= 297);
    CHECK(none <= 3);
}
