#include "coverage.h"

#include <catch2/catch.hpp>
#include <vector>

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

TEST_CASE("all differences of a campaign hold together, and blocks that move don't widen them", "[stats]")
{
    coverage::FamilyCase c; // 4 configurations in 4 blocks of runs of 4
    c.runShiftMs = 0.5;
    c.oneShiftMs = 3;
    CHECK(coverage::simulateFamily(c, 1000, 20260201).held.now >= 0.93);
    c.oneShiftMs = 0.5;
    c.blockShiftMs = 2;
    const coverage::FamilyRates moved = coverage::simulateFamily(c, 400, 20260202);
    CHECK(moved.held.now >= 0.93);
    CHECK(moved.halfWidthMs.now < 0.75 * moved.halfWidthMs.before);
    c.interleaved = false; // nothing to take out: Dunnett's factor for Bonferroni's
    const coverage::FamilyRates loose = coverage::simulateFamily(c, 400, 20260203);
    CHECK(loose.halfWidthMs.now > 0.85 * loose.halfWidthMs.before);
    CHECK(loose.halfWidthMs.now < 0.97 * loose.halfWidthMs.before);
}

TEST_CASE("differences hold together where one set-up scatters more, with few runs and with many", "[stats]")
{
    // Of 20,000 the standard error is 0.17 points. Own scatter at 95 % by itself would leave less than 93.4 of the
    // first.
    const std::vector<double> three{2, 1, 1}, eight{1.5, 1, 1, 1, 1, 1, 1, 1};
    CHECK(coverage::heldUnequally(three, 12, 20'000, 20260301) >= 0.9365);
    CHECK(coverage::heldUnequally(eight, 12, 20'000, 20260302) >= 0.9365);
    const double few = coverage::heldUnequally(eight, 4, 20'000, 20260303);
    CHECK(few >= 0.9365);
    CHECK(few <= 0.96); // by 2 alpha/k it would be more, and intervals wider than they need be
}
