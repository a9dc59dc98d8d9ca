#include "core/timing/rational.h"
#include "core/timing/stamp_pattern.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <map>

using Catch::WithinAbs;
using Catch::WithinRel;
using timing::FrameRate;
using timing::Rational;

namespace {

std::vector<std::optional<Rational>> stampsOf(const std::vector<std::int64_t>& ticks, const Rational& tick)
{
    std::vector<std::optional<Rational>> stamps;
    for (const std::int64_t t : ticks)
        stamps.push_back(Rational(t) * tick);
    return stamps;
}

/// Frame k at k/rate, to the nearest ms, half away from zero.
std::vector<std::int64_t> milliseconds(const FrameRate& rate, int n)
{
    std::vector<std::int64_t> stamps;
    for (int k = 0; k < n; ++k) {
        const Rational ms = Rational(1000 * k) / rate;
        stamps.push_back((2 * ms.numerator() + ms.denominator()) / (2 * ms.denominator()));
    }
    return stamps;
}

} // namespace

TEST_CASE("rates of the 1000/1001 family in hertz, milliseconds and ticks", "[outside]")
{
    // Source of the ratio 1000/1001: SMPTE ST 12-1, ITU-R BT.709; the figures are exact divisions.
    const auto [rate, hertz, frameMs, ticks90k, ticks27M] =
        GENERATE(table<FrameRate, double, double, Rational, Rational>({
            {{24000, 1001}, 23.976023976, 41.708333333, {15015, 4}, 1126125},
            {{30000, 1001}, 29.970029970, 33.366666667, 3003, 900900},
            {{60000, 1001}, 59.940059940, 16.683333333, {3003, 2}, 450450},
            {{120000, 1001}, 119.880119880, 8.341666667, {3003, 4}, 225225},
            {{240000, 1001}, 239.760239760, 4.170833333, {3003, 8}, {225225, 2}},
            {{960000, 1001}, 959.040959041, 1.042708333, {3003, 32}, {225225, 8}},
            {240, 240, 4.166666667, 375, 112500},
            {960, 960, 1.041666667, {375, 4}, 28125},
            {1000, 1000, 1, 90, 27000},
        }));
    CHECK_THAT(rate.toDouble(), WithinAbs(hertz, 5e-10)); // half the last decimal given
    CHECK_THAT((Rational(1000) / rate).toDouble(), WithinAbs(frameMs, 5e-10));
    CHECK(Rational(90000) / rate == ticks90k);
    CHECK(Rational(27000000) / rate == ticks27M);
}

TEST_CASE("stamps rounded to 90 kHz ticks show no lost frame", "[outside]")
{
    // MPEG system clock of 90 kHz (ISO/IEC 13818-1), frames 0 to 8 to the nearest tick: own division.
    const auto [rate, ticks] = GENERATE(table<FrameRate, std::vector<std::int64_t>>({
        {960, {0, 94, 188, 281, 375, 469, 563, 656, 750}},
        {{960000, 1001}, {0, 94, 188, 282, 375, 469, 563, 657, 751}},
    }));
    const auto p = timing::stampPattern(stampsOf(ticks, {1, 90000}), {1, 90000});
    CHECK(p.gapsKnown);
    CHECK(p.gaps.empty());
    CHECK_FALSE(p.variesAsRealTimes);
    CHECK_THAT(*p.rate(), WithinRel(rate.toDouble(), 1.0 / 750)); // one tick over the whole
}

TEST_CASE("millisecond stamps of Matroska step unevenly without a lost frame", "[outside]")
{
    // Source: RFC 9559: TimestampScale is 1 000 000 ns unless stated. First stamps and uneven steps below were also
    // found by writing such files with FFmpeg 5.1.9.
    struct Row {
        FrameRate rate;
        std::vector<std::int64_t> first;
        int frames;
        std::map<std::int64_t, int> steps; ///< ms to how many, over a whole number of beats
    };
    const Row row = GENERATE(values<Row>({
        {960, {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 13, 14}, 961, {{1, 40 * 23}, {2, 40}}},
        {1000, {0, 1, 2, 3}, 961, {{1, 960}}},
        {480, {0, 2, 4, 6, 8, 10, 13, 15}, 481, {{2, 40 * 11}, {3, 40}}},
        {240, {0, 4, 8, 13, 17, 21, 25, 29, 33, 38}, 241, {{4, 40 * 5}, {5, 40}}},
        {120, {0, 8, 17, 25, 33, 42, 50}, 121, {{8, 40 * 2}, {9, 40}}},
    }));
    CAPTURE(row.rate.toString());
    const std::vector<std::int64_t> stamps = milliseconds(row.rate, row.frames);
    CHECK(std::vector(stamps.begin(), stamps.begin() + static_cast<std::ptrdiff_t>(row.first.size())) == row.first);
    std::map<std::int64_t, int> steps;
    for (std::size_t k = 1; k < stamps.size(); ++k)
        ++steps[stamps[k] - stamps[k - 1]];
    CHECK(steps == row.steps);

    const auto p = timing::stampPattern(stampsOf(stamps, {1, 1000}), {1, 1000});
    CHECK(p.gapsKnown);
    CHECK(p.gaps.empty());
    CHECK(p.unclear.empty());
    CHECK_FALSE(p.irregular);
    CHECK_FALSE(p.variesAsRealTimes);
    // End points over the whole give the rate exactly; the centre of all possible rates lies within a tick of it.
    CHECK_THAT(*p.rate(), WithinRel(row.rate.toDouble(), 1e-3));
    CHECK(std::abs(*p.rate() / row.rate.toDouble() - 1) <= std::sqrt(3.0) * p.relativeUncertainty * 1.000001);
}
