#include "core/timing/delay.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <random>

using Catch::Contains;
using Catch::WithinAbs;
using namespace timing;

namespace {

constexpr double msRounding = 1e-9; // ms; a few operations on times below 10 s

TrialDelay delayOf(const CaptureTime& time, std::int64_t press, std::int64_t response,
                   const Correction& correction = {})
{
    const auto outcome = trialDelay(time, {press}, {response}, correction);
    REQUIRE(std::holds_alternative<TrialDelay>(outcome));
    return std::get<TrialDelay>(outcome);
}

std::string refusal(const CaptureTime& time, std::int64_t press, std::int64_t response)
{
    const auto outcome = trialDelay(time, {press}, {response});
    REQUIRE(std::holds_alternative<NoDelay>(outcome));
    return std::get<NoDelay>(outcome).reason;
}

} // namespace

TEST_CASE("the range of a trial, gaps and all, worked out by hand at 250 a second", "[timing]")
{
    // T = 4 ms. Two frames missing right before frame 20, one right before frame 50.
    const CaptureTime time = CaptureTime::even(250, {100}, {{{20}, 2}, {{50}, 1}});
    struct Row {
        const char* where;
        std::int64_t press, response, counted, missing;
        double delay, earliest, latest, pressInterval, responseInterval;
    };
    const Row row = GENERATE(values<Row>({
        {"no gap near", 30, 45, 15, 0, 60, 56, 64, 4, 4},
        {"a gap between", 15, 45, 30, 2, 128, 124, 132, 4, 4},
        {"a gap right before the press", 20, 45, 25, 0, 100, 96, 112, 12, 4}, // lamp may have lit in a lost frame
        {"a gap right before the response", 30, 50, 20, 1, 84, 76, 88, 4, 8}, // as may the reaction
        {"both", 20, 50, 30, 1, 124, 116, 136, 12, 8},
        {"same frame", 30, 30, 0, 0, 0, -4, 4, 4, 4},
        {"next frame", 30, 31, 1, 0, 4, 0, 8, 4, 4},
    }));
    CAPTURE(row.where);
    const TrialDelay trial = delayOf(time, row.press, row.response);
    CHECK(trial.counted.value == row.counted);
    CHECK(trial.missingBetween.value == row.missing);
    CHECK_THAT(trial.delay.count(), WithinAbs(row.delay, msRounding));
    CHECK_THAT(trial.earliest.count(), WithinAbs(row.earliest, msRounding));
    CHECK_THAT(trial.latest.count(), WithinAbs(row.latest, msRounding));
    CHECK_THAT(trial.pressInterval.count(), WithinAbs(row.pressInterval, msRounding));
    CHECK_THAT(trial.responseInterval.count(), WithinAbs(row.responseInterval, msRounding));
}

TEST_CASE("rows shift the whole range, their doubt and stamp msRounding widen it", "[timing]")
{
    const CaptureTime time = CaptureTime::stamped({0.000, 0.004, 0.009, 0.013, 0.017}, 1, Seconds{0.001});
    const TrialDelay trial = delayOf(time, 1, 4, {Milliseconds{-1.5}, Milliseconds{0.25}});
    CHECK_THAT(trial.delay.count(), WithinAbs(11.5, msRounding));
    CHECK_THAT(trial.earliest.count(), WithinAbs(9 - 1.5 - 1.25, msRounding));
    CHECK_THAT(trial.latest.count(), WithinAbs(17 - 1.5 + 1.25, msRounding));
    CHECK_THAT(trial.pressInterval.count(), WithinAbs(4, msRounding));
}

TEST_CASE("marks that can't give a delay say why", "[timing]")
{
    const CaptureTime time = CaptureTime::even(250, {100}, {}, {{{60}, {61}, "the stamps leap by 2.5 steps"}});
    CHECK_THAT(refusal(time, 30, 100), Contains("frame 100") && Contains("100 frames"));
    CHECK_THAT(refusal(time, -1, 20), Contains("frame -1"));
    CHECK_THAT(refusal(time, 30, 29), Contains("before the press"));
    CHECK_THAT(refusal(time, 0, 20), Contains("first frame"));
    CHECK_THAT(refusal(time, 50, 70), Contains("frame 60") && Contains("leap"));
    CHECK_THAT(refusal(time, 61, 70), Contains("frame 60")); // the press may lie in the unknown step before it
    delayOf(time, 62, 70);
    delayOf(time, 50, 60);
}

TEST_CASE("true delays always lie within the range, whatever frames are lost", "[timing]")
{
    std::mt19937 random(4);
    std::uniform_real_distribution<double> unit(0, 1);
    for (int round = 0; round < 2000; ++round) {
        // A camera at 500 a second that loses every fourth frame or so; events at any instants.
        std::vector<Gap> gaps;
        std::vector<double> recorded;
        std::int64_t lost = 0;
        for (int k = 0; k < 60; ++k) {
            if (k > 0 && unit(random) < 0.25) {
                ++lost;
                continue;
            }
            if (lost > 0)
                gaps.push_back({{std::ssize(recorded)}, lost});
            lost = 0;
            recorded.push_back(k * 0.002);
        }
        const CaptureTime time = CaptureTime::even(500, {std::ssize(recorded)}, gaps);
        const double pressed = 0.001 + 0.02 * unit(random), reacted = pressed + 0.04 * unit(random);
        const auto frameOf = [&](double instant) {
            return std::lower_bound(recorded.begin(), recorded.end(), instant) - recorded.begin();
        };
        const TrialDelay trial = delayOf(time, frameOf(pressed), frameOf(reacted));
        const double truth = (reacted - pressed) * 1000;
        CHECK(trial.earliest.count() <= truth + msRounding);
        CHECK(truth <= trial.latest.count() + msRounding);
    }
}
