#include "core/timing/rolling_shutter.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::WithinAbs;
using namespace timing;

namespace {
constexpr double productRounding = 1e-12; // single products of numbers near 1
}

TEST_CASE("a known line time corrects by the rows from lamp to screen in readout order", "[timing]")
{
    LineTime lineTime{Milliseconds{0.01}, Milliseconds{0.0002}, ReadoutOrder::FirstRowFirst};
    const ShutterEffect down = knownLineTime(lineTime, 150); // the screen 150 rows below the lamp, 1.5 ms later
    CHECK_THAT(down.correction.add.count(), WithinAbs(1.5, productRounding));
    CHECK_THAT(down.correction.halfWidth.count(), WithinAbs(150 * 0.0002 * std::sqrt(3.0), productRounding));
    CHECK_THAT(down.uPerRow, WithinAbs(0.0002, productRounding));
    CHECK_THAT(down.rows, WithinAbs(150, productRounding));

    lineTime.order = ReadoutOrder::LastRowFirst;
    const ShutterEffect up = knownLineTime(lineTime, 150);
    CHECK_THAT(up.correction.add.count(), WithinAbs(-1.5, productRounding));
    CHECK_THAT(up.rows, WithinAbs(-150, productRounding));
    CHECK(knownLineTime(lineTime, -150).correction.add == down.correction.add);
}

TEST_CASE("an unknown direction leaves either sign, an unknown line time all of a capture interval", "[timing]")
{
    const ShutterEffect either = knownLineTime({Milliseconds{0.01}, Milliseconds{0.0}, ReadoutOrder::Unknown}, -150);
    CHECK(either.correction.add == Milliseconds{0});
    CHECK_THAT(either.correction.halfWidth.count(), WithinAbs(1.5, productRounding));
    CHECK_THAT(either.uPerRow, WithinAbs(0.01, productRounding)); // +-0.01 with equal chance

    const ShutterEffect nothing = unknownLineTime(Milliseconds{4}, 400, 100);
    CHECK(nothing.correction.add == Milliseconds{0});
    CHECK_THAT(nothing.correction.halfWidth.count(), WithinAbs(1, productRounding));
    CHECK_THAT(nothing.uPerRow * nothing.rows, WithinAbs(1 / std::sqrt(3.0), productRounding));
}
