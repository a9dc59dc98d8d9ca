#include "core/timing/rate_evidence.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::Contains;
using Catch::WithinAbs;
using Catch::WithinRel;
using namespace timing;

namespace {

StampPattern evenPattern(const Rational& rate)
{
    StampPattern p;
    p.exactStep = Rational(1) / rate;
    p.step = p.exactStep->toDouble();
    p.gapsKnown = true;
    return p;
}

StampPattern scattered(double rate)
{
    StampPattern p;
    p.step = 1 / rate;
    p.relativeUncertainty = 5e-5;
    p.variesAsRealTimes = true;
    p.gapsKnown = true;
    return p;
}

const std::string mp4 = "mov,mp4,m4a,3gp,3g2,mj2";

RateEvidence stated(Origin origin, double rate, double u) { return {origin, rate, std::nullopt, u, ""}; }

} // namespace

TEST_CASE("evenly stepping stamps at playback rates say nothing of the capture rate", "[timing]")
{
    const Rational rate = GENERATE(Rational(24000, 1001), Rational(25), Rational(30000, 1001), Rational(30),
                                   Rational(50), Rational(60000, 1001), Rational(60), Rational(100));
    CHECK(gatherEvidence(evenPattern(rate), {}, mp4).empty());
}

TEST_CASE("evenly stepping stamps above playback rates are a nominal rate", "[timing]")
{
    const auto evidence = gatherEvidence(evenPattern(Rational(240000, 1001)), {}, mp4);
    REQUIRE(evidence.size() == 1);
    CHECK(evidence[0].origin == Origin::Stamps);
    CHECK(evidence[0].exactRate == FrameRate(240000, 1001));
    CHECK_THAT(evidence[0].rate, WithinRel(240000.0 / 1001, 1e-15));
    CHECK_THAT(evidence[0].relativeUncertainty, WithinRel(0.03 / std::sqrt(3.0), 1e-12));
    CHECK_THAT(evidence[0].note, Contains("240000/1001"));
}

TEST_CASE("stamps that scatter as real times do count at any rate", "[timing]")
{
    const auto evidence = gatherEvidence(scattered(30), {}, mp4);
    REQUIRE(evidence.size() == 1);
    CHECK(evidence[0].origin == Origin::Stamps);
    CHECK_THAT(evidence[0].relativeUncertainty, WithinRel(std::hypot(5e-5, 1e-4), 1e-12));
    CHECK_THAT(evidence[0].note, Contains("slowed"));
}

TEST_CASE("a tagged rate makes slower stamps playback, without a contradiction", "[timing]")
{
    const StampPattern pattern = GENERATE(evenPattern(Rational(30)), scattered(30), evenPattern(Rational(120)));
    const auto evidence = gatherEvidence(pattern, {{"com.android.capture.fps", "240.000000"}}, mp4);
    REQUIRE(evidence.size() == 1);
    CHECK(evidence[0].origin == Origin::Tag);
    CHECK(evidence[0].rate == 240);
    CHECK(evidence[0].exactRate == FrameRate(240));
    CHECK(evidence[0].relativeUncertainty >= 0.001); // nominal, never better than 0.1 %
}

TEST_CASE("stamps and a tag that speak of the same rate stand side by side, stamps first", "[timing]")
{
    const auto evidence = gatherEvidence(scattered(239.1), {{"com.android.capture.fps", "240"}}, mp4);
    REQUIRE(evidence.size() == 2);
    CHECK(evidence[0].origin == Origin::Stamps);
    CHECK(evidence[1].origin == Origin::Tag);
    CHECK(agree(evidence[0], evidence[1]));
}

TEST_CASE("stamps faster than the tag stay and dispute it", "[timing]")
{
    const auto evidence = gatherEvidence(evenPattern(Rational(960)), {{"com.android.capture.fps", "240"}}, mp4);
    REQUIRE(evidence.size() == 2);
    CHECK_FALSE(agree(evidence[0], evidence[1]));
    CHECK_THAT(dispute(evidence[0], evidence[1]),
               Contains("factor near 4") && Contains("960 a second (stamps)") && Contains("240 a second (tag)"));
}

TEST_CASE("tags are read in the forms they come in, anything else is left alone", "[timing]")
{
    const auto [key, text, rate] = GENERATE(table<std::string, std::string, double>({
        {"com.android.capture.fps", "239.76", 239.76},
        {"com.arri.camera.SensorFps", "119880", 119.88},
        {"com.arri.camera.SensorFps", "24000/1001", 24000.0 / 1001},
        {"com.arri.camera.SensorFps", "120", 120},
    }));
    const auto evidence = gatherEvidence({}, {{key, text}}, mp4);
    REQUIRE(evidence.size() == 1);
    CHECK_THAT(evidence[0].rate, WithinRel(rate, 1e-15));

    const std::string junk = GENERATE("", "fast", "-240", "0", "nan", "inf", "1e300", "240 fps", "1/0", "/", "-1/2",
                                      "99999999999999999999/1");
    CHECK(gatherEvidence({}, {{key, junk}}, mp4).empty());
}

TEST_CASE("a readout time is never taken for a frame time", "[timing]")
{
    CHECK(gatherEvidence({}, {{"com.apple.quicktime.camera.framereadouttimeinmicroseconds", "4166"}}, mp4).empty());
}

TEST_CASE("stamps that libav assumes are no evidence", "[timing]")
{
    const std::string container = GENERATE("h264", "hevc", "mjpeg", "pictures");
    CHECK(gatherEvidence(evenPattern(Rational(1000)), {}, container).empty());
}

TEST_CASE("a typed-in rate is rectangular within its tolerance", "[timing]")
{
    const RateEvidence consumer = declaredEvidence(960);
    CHECK(consumer.origin == Origin::Declared);
    CHECK(consumer.exactRate == FrameRate(960));
    CHECK_THAT(consumer.relativeUncertainty, WithinRel(0.03 / std::sqrt(3.0), 1e-15));
    const RateEvidence maker = declaredEvidence(959.04, 50e-6);
    CHECK_FALSE(maker.exactRate); // 959.04 isn't 960000/1001; the note says it is near
    CHECK_THAT(maker.relativeUncertainty, WithinRel(50e-6 / std::sqrt(3.0), 1e-15));
    CHECK_THAT(maker.note, Contains("960000/1001"));
}

TEST_CASE("a senseless rate that is typed in stays a statement", "[timing]")
{
    const RateEvidence e = declaredEvidence(GENERATE(1e300, 1e-300, 1e18));
    CHECK(e.rate > 0);
    CHECK_FALSE(e.exactRate);
    CHECK(agree(e, e));
}

TEST_CASE("rates are in dispute beyond twice their combined uncertainty", "[timing]")
{
    const auto [a, ua, b, ub, agreed] = GENERATE(table<double, double, double, double, bool>({
        {240, 0.001, 239.76, 0, true},        // 0.24 apart, 2 * 0.24 allowed
        {240, 0.0004, 239.76, 0, false},      // 2 * 0.096
        {240, 0.0004, 239.76, 0.00031, true}, // 2 * 0.1215
        {1000, 0.003, 1009.9, 0.004, true},   // 2 * sqrt(3^2 + 4.04^2) = 10.06
        {1000, 0.003, 1010.2, 0.004, false},
        {960, 0, 960, 0, true},
        {960, 0.03 / 1.7320508, 240, 0.03 / 1.7320508, false},
    }));
    const RateEvidence first = stated(Origin::Reference, a, ua), second = stated(Origin::Tag, b, ub);
    CHECK(agree(first, second) == agreed);
    CHECK(agree(second, first) == agreed);
    CHECK(dispute(first, second).empty() == agreed);
}

TEST_CASE("a small dispute says how far apart", "[timing]")
{
    const std::string text = dispute(stated(Origin::Reference, 238, 0.0001), stated(Origin::Declared, 240, 0.0002));
    CHECK_THAT(text, Contains("238 a second (reference) and 240 a second (declared) differ by 0.84 %"));
}

TEST_CASE("evidence ranks reference, declared, stamps, tag", "[timing]")
{
    CHECK(Origin::Reference < Origin::Declared);
    CHECK(Origin::Declared < Origin::Stamps);
    CHECK(Origin::Stamps < Origin::Tag);
}
