#include "core/timing/phase_dither.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace timing;

TEST_CASE("phases of a simple fraction leave large gaps", "[timing]")
{
    CHECK_THAT(largestPhaseGap(24, 100), WithinAbs(1, 1e-9));
    CHECK_THAT(largestPhaseGap(24.5, 100), WithinAbs(0.5, 1e-9));
    CHECK_THAT(largestPhaseGap(24.25, 100), WithinAbs(0.25, 1e-9));
    CHECK(largestPhaseGap(24.618034, 100) < 0.03);
    CHECK(lacksDither(24, 100));
    CHECK(lacksDither(24.0001, 100));
    CHECK_FALSE(lacksDither(24.742268, 100)); // 240 / 9.7
}

TEST_CASE("a better frequency is near, short and dithers", "[timing]")
{
    const auto [rate, frequency] =
        GENERATE(table<double, double>({{240, 10}, {960, 40}, {1000, 50}, {239.76, 9.99}, {120, 5}}));
    const auto better = betterFrequency(rate, frequency, 60);
    REQUIRE(better);
    CHECK(std::abs(*better / frequency - 1) <= 0.15);
    CHECK_FALSE(lacksDither(rate / *better, 60));
    CHECK(largestPhaseGap(rate / *better, 60) < 0.1);
    CHECK(expectedFitUncertainty(rate, *better, 60)
          < 0.5 * expectedFitUncertainty(rate, rate / std::round(rate / frequency), 60));
}

TEST_CASE("how long to film falls with dither and ends at the lamp's own tolerance", "[timing]")
{
    const ReferencePlan dithered = planReference(240, 9.7, 20e-6, 100e-6);
    const ReferencePlan locked = planReference(240, 10, 20e-6, 100e-6);
    REQUIRE(dithered.flashes > 0);
    REQUIRE(locked.flashes > 0);
    CHECK(dithered.uncertainty <= 100e-6);
    CHECK(locked.seconds > 3 * dithered.seconds);
    // Locked: 1 / sqrt(3) of a frame over the whole length, by hand: 0.577 / (240 * 1e-4) = 24 s.
    CHECK_THAT(locked.seconds, WithinRel(24.6, 0.03));
    CHECK(planReference(240, 9.7, 1e-3, 100e-6).flashes == 0); // 0.1 % lamp: 577 ppm is the best it can do
}
