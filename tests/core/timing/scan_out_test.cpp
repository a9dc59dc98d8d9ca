#include "core/timing/scan_out.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::WithinAbs;
using namespace timing;

TEST_CASE("a delay is brought to a common height by the part of the refresh between", "[timing]")
{
    constexpr double rounding = 1e-12; // single products of numbers near 1
    // Three quarters down a 60 Hz display, brought to its middle: a quarter of 16.667 ms sooner.
    const ScanOutEffect effect = toCommonHeight({0.75, 60, 0.001, 0.1}, 0.5);
    CHECK_THAT(effect.correction.add.count(), WithinAbs(-1000.0 / 240, rounding));
    CHECK_THAT(effect.relativeU, WithinAbs(std::hypot(0.1 / std::sqrt(3.0), 0.001), rounding));
    CHECK_THAT(effect.correction.halfWidth.count(), WithinAbs(1000.0 / 240 * (0.1 + 0.001 * std::sqrt(3.0)), rounding));
    CHECK(toCommonHeight({0.5, 60, 0.001, 0.1}, 0.5).correction == Correction{});
    CHECK_THAT(toCommonHeight({0, 144, 0, 0}, 1).correction.add.count(), WithinAbs(1000.0 / 144, rounding));
}
