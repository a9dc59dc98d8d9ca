#include "core/timing/stamp_pattern.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <random>

using Catch::WithinAbs;
using Catch::WithinRel;
using timing::FrameNumber;
using timing::Gap;
using timing::Rational;
using timing::StampPattern;
using Stamps = std::vector<std::optional<Rational>>;

namespace {

const Rational ms(1, 1000), mpeg(1, 90000);

enum class Writer { Rounds, Truncates };

/// Stamps of `n` recorded frames of a camera at `rate`, written in `tick`; `missing` frames are lost before each key.
Stamps written(const Rational& rate, const Rational& tick, int n, const std::map<int, int>& missing = {},
               Writer writer = Writer::Rounds)
{
    Stamps stamps;
    std::int64_t place = 0;
    for (int k = 0; k < n; ++k, ++place) {
        const auto lost = missing.find(k);
        place += lost == missing.end() ? 0 : lost->second;
        const Rational ticks = Rational(place) / rate / tick;
        const std::int64_t twice = writer == Writer::Rounds ? 1 : 0; // floor(t + 1/2) or floor(t), t >= 0
        const std::int64_t whole = (2 * ticks.numerator() + twice * ticks.denominator()) / (2 * ticks.denominator());
        stamps.push_back(Rational(whole) * tick);
    }
    return stamps;
}

Stamps fromTicks(const std::vector<double>& ticks, const Rational& tick)
{
    Stamps stamps;
    for (const double t : ticks)
        stamps.push_back(Rational(std::llround(t)) * tick);
    return stamps;
}

std::int64_t total(const std::vector<Gap>& gaps)
{
    std::int64_t sum = 0;
    for (const Gap& gap : gaps)
        sum += gap.count.value;
    return sum;
}

} // namespace

TEST_CASE("rounded stamps of an unbroken capture show its rate and no gap", "[timing]")
{
    const auto [rate, tick] = GENERATE(table<Rational, Rational>({
        {960, ms},
        {1000, ms},
        {480, ms},
        {240, ms},
        {120, ms},
        {1200, ms},
        {1500, ms},
        {600, ms},
        {300, ms},
        {25, ms},
        {Rational(960000, 1001), ms},
        {Rational(240000, 1001), ms},
        {Rational(120000, 1001), ms},
        {960, mpeg},
        {1000, mpeg},
        {240, mpeg},
        {Rational(960000, 1001), mpeg},
        {Rational(30000, 1001), mpeg},
        {30, mpeg},
        {960, Rational(1, 15360)},
        {240, Rational(1, 240)},
        {Rational(240000, 1001), Rational(1001, 240000)},
    }));
    const Writer writer = GENERATE(Writer::Rounds, Writer::Truncates);
    const int n = GENERATE(100, 1000);
    const StampPattern p = timing::stampPattern(written(rate, tick, n, {}, writer), tick);
    CAPTURE(rate.toString(), tick.toString(), n);
    CHECK(p.stamped == n);
    CHECK(p.gapsKnown);
    CHECK(p.gaps.empty());
    CHECK(p.unclear.empty());
    CHECK_FALSE(p.irregular);
    CHECK_FALSE(p.variesAsRealTimes);
    REQUIRE(p.step);
    // The stamps can't say more than one tick over the whole; the stated uncertainty must hold the truth.
    const double off = *p.rate() / rate.toDouble() - 1;
    CHECK_THAT(off, WithinAbs(0, tick.toDouble() * rate.toDouble() / (n - 1)));
    CHECK_THAT(off, WithinAbs(0, std::sqrt(3.0) * p.relativeUncertainty * 1.000001));
}

TEST_CASE("at two frames a tick the rate still shows but lost frames may hide, which is said", "[timing]")
{
    const StampPattern p = timing::stampPattern(written(2000, ms, 1000, {{400, 1}}), ms);
    CHECK_FALSE(p.gapsKnown);
    CHECK(p.gaps.empty());
    CHECK_THAT(*p.rate(), WithinRel(2000, 2e-3));
}

TEST_CASE("steps of whole ticks give an exact step", "[timing]")
{
    CHECK(timing::stampPattern(written(960, Rational(1, 15360), 50), Rational(1, 15360)).exactStep == Rational(1, 960));
    CHECK(timing::stampPattern(written(1000, ms, 50, {{20, 3}}), ms).exactStep == Rational(1, 1000));
    CHECK_FALSE(timing::stampPattern(written(960, ms, 50), ms).exactStep);
}

TEST_CASE("a step of several nominal steps is missing frames", "[timing]")
{
    const auto [rate, tick] = GENERATE(table<Rational, Rational>({
        {960, mpeg},
        {240, mpeg},
        {Rational(960000, 1001), mpeg},
        {240, ms},
        {Rational(240000, 1001), ms},
        {30, mpeg},
        {960, Rational(1, 15360)},
        {120, ms},
    }));
    CAPTURE(rate.toString(), tick.toString());
    const std::map<int, int> lost{{1, 1}, {40, 2}, {41, 1}, {42, 1}, {90, 100}, {199, 5}};
    const StampPattern p = timing::stampPattern(written(rate, tick, 200, lost), tick);
    CHECK(p.gapsKnown);
    CHECK(p.gaps == std::vector<Gap>{{{1}, 1}, {{40}, 2}, {{41}, 1}, {{42}, 1}, {{90}, 100}, {{199}, 5}});
    CHECK(p.unclear.empty());
    CHECK_FALSE(p.variesAsRealTimes);
    CHECK_THAT(*p.rate(), WithinRel(rate.toDouble(), 1e-3));
}

TEST_CASE("with ticks as long as the step a lost frame is found to within a beat", "[timing]")
{
    const auto [rate, beat] = GENERATE(table<Rational, int>({
        {960, 24},
        {Rational(960000, 1001), 25},
        {1200, 7},
        {1500, 4},
        {600, 4},
        {1000, 0},
        {500, 0},
    }));
    const int place = GENERATE(200, 313, 500);
    const int count = GENERATE(1, 2, 7);
    CAPTURE(rate.toString(), place, count);
    const StampPattern p = timing::stampPattern(written(rate, ms, 800, {{place, count}}), ms);
    REQUIRE(p.gaps.size() == 1);
    CHECK(p.gaps[0].count.value == count);
    CHECK(std::abs(p.gaps[0].before.value - place) <= beat);
    CHECK(p.unclear.empty());
    CHECK_THAT(*p.rate(), WithinRel(rate.toDouble(), 2e-3));
}

TEST_CASE("lost frames at chance places are all counted", "[timing]")
{
    std::mt19937 random(GENERATE(11u, 12u, 13u));
    const auto [rate, tick, apart] = GENERATE(table<Rational, Rational, int>({
        {960, mpeg, 12},
        {240, ms, 12},
        {Rational(240000, 1001), mpeg, 12},
        {960, ms, 120},
        {1000, ms, 120},
    }));
    std::map<int, int> lost;
    std::int64_t sum = 0;
    for (int k = apart; k < 2000 - apart; k += apart + static_cast<int>(random() % static_cast<unsigned>(apart))) {
        lost[k] = 1 + static_cast<int>(random() % 3);
        sum += lost[k];
    }
    CAPTURE(rate.toString(), tick.toString(), lost.size());
    const StampPattern p = timing::stampPattern(written(rate, tick, 2000, lost), tick);
    CHECK(p.gaps.size() == lost.size());
    CHECK(total(p.gaps) == sum);
    CHECK(p.unclear.empty());
}

TEST_CASE("measured times scatter and still show rate and lost frames", "[timing]")
{
    std::mt19937 random(GENERATE(21u, 22u, 23u));
    std::normal_distribution<double> jitter(0, GENERATE(4.0, 30.0)); // ticks of 375: 1 % and 8 %
    std::vector<double> ticks;
    double place = 0;
    std::vector<Gap> lost;
    for (int k = 0; k < 1500; ++k) {
        if (k == 300 || k == 301 || k == 700) {
            lost.push_back({{k}, k == 700 ? 3 : 1});
            place += static_cast<double>(lost.back().count.value);
        }
        ticks.push_back(375 * place + jitter(random));
        place += 1;
    }
    const StampPattern p = timing::stampPattern(fromTicks(ticks, mpeg), mpeg);
    CHECK(p.variesAsRealTimes);
    CHECK_FALSE(p.irregular);
    CHECK_FALSE(p.exactStep);
    CHECK(p.gaps == lost);
    CHECK_THAT(*p.rate(), WithinAbs(240, 240 * 3 * p.relativeUncertainty));
    CHECK(p.relativeUncertainty < 0.005);
}

TEST_CASE("a late stamp is no lost frame", "[timing]")
{
    std::vector<double> ticks;
    for (int k = 0; k < 300; ++k)
        ticks.push_back(375.0 * k + (k % 50 == 25 ? 230 : 0));
    const StampPattern even = timing::stampPattern(fromTicks(ticks, mpeg), mpeg);
    CHECK(even.gapsKnown);
    CHECK(even.gaps.empty());
    CHECK(even.unclear.empty());

    std::mt19937 random(5);
    std::normal_distribution<double> jitter(0, 5);
    for (double& t : ticks)
        t += jitter(random);
    const StampPattern measured = timing::stampPattern(fromTicks(ticks, mpeg), mpeg);
    CHECK(measured.variesAsRealTimes);
    CHECK(measured.gaps.empty());
    CHECK(measured.unclear.empty());
}

TEST_CASE("a pause of no whole number of steps leaves the time across it unclear", "[timing]")
{
    Stamps stamps = written(240, mpeg, 100);
    const Stamps later = written(240, mpeg, 100);
    for (const auto& stamp : later)
        stamps.push_back(*stamp + *stamps[99] + Rational(2 * 375 + 180) * mpeg);
    const StampPattern p = timing::stampPattern(stamps, mpeg);
    CHECK(p.gaps.empty());
    CHECK(p.unclear == std::vector<FrameNumber>{{100}});
    CHECK_FALSE(p.irregular);
}

TEST_CASE("two rates in one file are no lost frames", "[timing]")
{
    std::vector<double> ticks{0};
    const int slow = GENERATE(20, 100, 180);
    for (int k = 0; k < 200; ++k)
        ticks.push_back(ticks.back() + (k < slow ? 3000 : 375));
    const StampPattern p = timing::stampPattern(fromTicks(ticks, mpeg), mpeg);
    CHECK(p.irregular);
    CHECK(p.gaps.empty());
    CHECK_FALSE(p.gapsKnown);
    CHECK_FALSE(p.step);
}

TEST_CASE("chance times have no nominal step", "[timing]")
{
    std::mt19937 random(8);
    std::exponential_distribution<double> wait(1.0 / 400);
    std::vector<double> ticks{0};
    for (int k = 0; k < 500; ++k)
        ticks.push_back(ticks.back() + wait(random));
    const StampPattern p = timing::stampPattern(fromTicks(ticks, mpeg), mpeg);
    CHECK(p.irregular);
    CHECK(p.gaps.empty());
}

TEST_CASE("repeated, backward and lacking stamps are stated as they are", "[timing]")
{
    Stamps stamps = written(240, mpeg, 60);
    stamps[10] = stamps[9];
    stamps[30] = stamps[27];
    stamps[40].reset();
    stamps[41].reset();
    const StampPattern p = timing::stampPattern(stamps, mpeg);
    CHECK(p.stamped == 58);
    CHECK(p.repeats == std::vector<FrameNumber>{{10}});
    CHECK(p.backward == std::vector<FrameNumber>{{30}});
    CHECK(p.unstamped == std::vector<FrameNumber>{{40}, {41}});
    CHECK(p.gaps.empty()); // frames 40 and 41 are there, only their stamps aren't
    CHECK_THAT(*p.rate(), WithinRel(240, 0.01));
}

TEST_CASE("stamps may start anywhere, below 0 as well", "[timing]")
{
    Stamps stamps = written(240, mpeg, 60, {{30, 1}});
    const Rational start = GENERATE(Rational(-1), Rational(95443), Rational(-3003, 90000));
    for (auto& stamp : stamps)
        *stamp = *stamp + start;
    const StampPattern p = timing::stampPattern(stamps, mpeg);
    CHECK(p.gaps == std::vector<Gap>{{{30}, 1}});
    CHECK_THAT(*p.rate(), WithinRel(240, 1e-9));
}

TEST_CASE("too few or equal stamps give no step", "[timing]")
{
    CHECK_FALSE(timing::stampPattern({}, ms).step);
    CHECK_FALSE(timing::stampPattern(Stamps(5), ms).step);
    CHECK(timing::stampPattern(Stamps(5), ms).unstamped.size() == 5);
    CHECK_FALSE(timing::stampPattern(written(240, ms, 2), ms).step);
    CHECK_FALSE(timing::stampPattern(written(240, ms, 2), ms).gapsKnown);
    const StampPattern equal = timing::stampPattern(Stamps(50, Rational(3)), ms);
    CHECK_FALSE(equal.step);
    CHECK(equal.irregular);
    CHECK(equal.repeats.size() == 49);
}

TEST_CASE("senseless stamps end quickly and without a throw", "[timing]")
{
    Stamps stamps;
    for (int k = 0; k < 2000; ++k)
        stamps.push_back(Rational(k % 2 ? INT64_MAX : -INT64_MAX, 1 + k % 7));
    const StampPattern p = timing::stampPattern(stamps, Rational(1, INT32_MAX));
    CHECK(p.irregular);
    const StampPattern huge = timing::stampPattern(
        Stamps{Rational(0), Rational(INT64_MAX / 4), Rational(INT64_MAX / 2)}, Rational(INT32_MAX));
    CHECK(huge.stamped == 3);
}
