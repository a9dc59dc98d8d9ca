#include "coverage.h"

#include <catch2/catch.hpp>

// The short version of coverage_table. 1000 sessions a case: the standard error of a share near 95 % is 0.7 points, so
// that the bounds, 93 % and 5 %, are missed by chance alone only where the true share already lies at them. Seeds are
// fixed.
TEST_CASE("intervals hold the truth and verdicts keep their promise, on one time line per capture", "[stats]")
{
    const auto c = GENERATE(values<coverage::Case>({
        {240, 60, 10, 1, 0, coverage::Shape::Smooth}, // an exact ratio: the phase stays through the capture
        {240, 75, 20, 1, 0, coverage::Shape::Skewed},
        {480, 144, 10, 4, 0, coverage::Shape::Skewed},
        {1000, 60, 40, 4, 2, coverage::Shape::Smooth}, // runs shift
        {240, 144, 20, 6, 2, coverage::Shape::Skewed},
    }));
    CAPTURE(c.camera, c.refresh, c.trials, c.runs);
    const coverage::Rates rates = coverage::simulate(c, 1000, 20260101);
    CHECK(rates.meanHeld >= 0.93);
    CHECK(rates.differenceHeld >= 0.93);
    CHECK(rates.falseVerdict <= 0.05);
    CHECK(rates.falseSame <= 0.05);
}

TEST_CASE("the simulation can tell a budget that leaves something out", "[stats]")
{
    // One run that shifted by 2 ms from where it usually is: "these runs only" is all that its interval claims.
    const coverage::Rates rates = coverage::simulate({1000, 144, 40, 1, 2, coverage::Shape::Smooth}, 500, 20260101);
    CHECK(rates.meanHeld < 0.8);
    CHECK(rates.falseVerdict > 0.2);
}
