#include "core/timing/stamp_steps.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace timing;
using Catch::WithinAbs;

TEST_CASE("steps are counted by their length, and runs of equal ones told in order", "[timing]")
{
    const Rational tick(1, 1000);
    std::vector<std::optional<Rational>> stamps;
    std::int64_t at = 0;
    for (int k = 0; k < 10; ++k)
        stamps.push_back(Rational(at += 33, 1000));
    for (int k = 0; k < 20; ++k)
        stamps.push_back(Rational(at += 4, 1000));
    const StampSteps steps = stampSteps(stamps, tick);
    CHECK(steps.steps == 29);
    REQUIRE(steps.histogram.size() == 2);
    CHECK(steps.histogram[0].count == 20);
    CHECK_THAT(steps.histogram[0].from, WithinAbs(0.004, 1e-12));
    CHECK(steps.histogram[1].count == 9);
    REQUIRE(steps.runs.size() == 2);
    CHECK(steps.runs[0].first.value == 1);
    CHECK(steps.runs[0].steps == 9);
    CHECK(steps.runs[1].first.value == 10);
    CHECK(steps.runs[1].steps == 20);
    CHECK_THAT(steps.median, WithinAbs(0.004, 1e-12));
    CHECK_THAT(steps.mean, WithinAbs((9 * 0.033 + 20 * 0.004) / 29, 1e-12));
    CHECK_THAT(steps.longest, WithinAbs(0.033, 1e-12));
}

TEST_CASE("many different steps fall into bins that hold all of them", "[timing]")
{
    std::vector<std::optional<Rational>> stamps;
    std::int64_t at = 0;
    for (int k = 0; k < 500; ++k)
        stamps.push_back(Rational(at += 3000 + k * 7 % 400, 90000));
    stamps[200].reset();
    const StampSteps steps = stampSteps(stamps, Rational(1, 90000));
    CHECK(steps.steps == 497);
    CHECK(steps.histogram.size() == StampSteps::mostBins);
    std::int64_t counted = 0;
    for (const StepBin& bin : steps.histogram)
        counted += bin.count;
    CHECK(counted == steps.steps);
    CHECK(steps.runs.size() == StampSteps::mostRuns);
    CHECK(stampSteps({}, Rational(1, 1000)).steps == 0);
    CHECK(stampSteps({Rational(1)}, Rational(1, 1000)).histogram.empty());
}
