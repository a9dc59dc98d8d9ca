#include "tests/footage/footage.h"
#include "tests/footage/timeline.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

using Catch::Matchers::WithinAbs;
using footage::OddityKind;
using footage::SwitchedLight;

TEST_CASE("capture instants follow the true rate, not the nominal one", "[footage]")
{
    footage::CameraSpec camera;
    camera.frames = 96001;
    camera.ppm = 100;
    const auto times = footage::captureTimes(camera, 1);
    // 96000 intervals of 1/960 s are 100 s; 100 ppm faster makes them 1/1.0001 of that. Tolerance: double rounding.
    CHECK_THAT(times.back(), WithinAbs(100.0 / 1.0001, 1e-9));
}

TEST_CASE("jittered capture instants never change places", "[footage]")
{
    footage::CameraSpec camera;
    camera.frames = 2000;
    camera.timeJitter = 1e-3; // about a whole interval
    const auto times = footage::captureTimes(camera, 1);
    CHECK(std::is_sorted(times.begin(), times.end()));
}

TEST_CASE("a switched light's mean over a span is that of its level", "[footage]")
{
    SwitchedLight light(0.002, 0.003);
    light.switchAt(0.010, true);
    light.switchAt(0.014, false);
    light.switchAt(0.016, true);
    CHECK(light.level(0.009) == 0.0);
    CHECK_THAT(light.level(0.012), WithinAbs(1 - std::exp(-1.0), 1e-12));

    constexpr int steps = 200000;
    const double from = 0.009, to = 0.019;
    double sum = 0;
    for (int i = 0; i < steps; ++i)
        sum += light.level(from + (to - from) * (i + 0.5) / steps);
    CHECK_THAT(light.mean(from, to), WithinAbs(sum / steps, 1e-9)); // midpoint rule: step squared times curvature
    CHECK_THAT(light.level(*light.passes(0.5, 0.010)), WithinAbs(0.5, 1e-9));
}

TEST_CASE("the delay is the sum of its chain", "[footage]")
{
    footage::Spec spec;
    spec.scene.presses = 200;
    spec.scene.delay.deviceSpread = 0;
    spec.camera.frames = 1;
    const auto& d = spec.scene.delay;
    const double refresh = 1 / d.refreshRate, tick = 1 / d.tickRate;
    const double fixed =
        d.device + d.queueFrames * refresh + d.displayProcessing + 0.20 * refresh; // panel begins at row 0.20
    double sum = 0;
    const auto truth = footage::foresee(spec);
    for (const auto& press : truth.presses) {
        REQUIRE(press.delay);
        CHECK(*press.delay >= fixed - 1e-9);
        CHECK(*press.delay <= fixed + d.pollInterval + tick + refresh + 1e-9);
        sum += *press.delay;
    }
    // Poll and tick wait half an interval each on average. The wait from tick to refresh is one and the same for equal
    // rates, somewhere within a refresh interval: half of one either way. 0.6 ms: 4 standard errors of 200 uniform
    // waits.
    CHECK_THAT(sum / 200, WithinAbs(fixed + d.pollInterval / 2 + tick / 2 + refresh / 2, refresh / 2 + 0.0006));
}

TEST_CASE("oddities change their own press only", "[footage]")
{
    footage::Spec spec;
    spec.camera.frames = 2400;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.scene.presses = 5;
    const auto plain = footage::foresee(spec);
    spec.scene.oddities = {{1, OddityKind::NoReaction}, {2, OddityKind::DoublePress}, {3, OddityKind::EarlyChange}};
    const auto odd = footage::foresee(spec);

    CHECK_FALSE(odd.presses[1].reactionFrame);
    CHECK_FALSE(odd.presses[1].delay);
    CHECK(odd.presses[1].lampFrame == plain.presses[1].lampFrame);
    CHECK(odd.presses[2].secondLampFrame.value() > odd.presses[2].lampFrame.value());
    CHECK(odd.presses[2].reactionFrame == plain.presses[2].reactionFrame);
    CHECK(odd.presses[3].reactionFrame.value() < odd.presses[3].lampFrame.value());
    CHECK(odd.presses[4].delay == plain.presses[4].delay);
}

TEST_CASE("lost frames shift the frame numbers but not the times", "[footage]")
{
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.scene.presses = 1;
    const auto whole = footage::foresee(spec);
    spec.camera.missing = {10, 11, 12, 40};
    const auto lossy = footage::foresee(spec);
    CHECK(*lossy.presses[0].lampFrame == *whole.presses[0].lampFrame - 4);
    CHECK(lossy.frames[36].captureIndex == 39);
    CHECK(lossy.frames[37].captureIndex == 41);
    CHECK(lossy.frames[37].time == whole.frames[41].time);
    CHECK(lossy.frames[37].stamp == whole.frames[41].stamp);
    REQUIRE(lossy.missing.size() == 2);
    CHECK(lossy.missing[0].before == 10);
    CHECK(lossy.missing[0].count == 3);
    CHECK(lossy.missing[1].before == 37);
}
