#include "core/timing/capture_time.h"

#include <catch2/catch.hpp>
#include <limits>

using Catch::Contains;
using Catch::WithinAbs;
using namespace timing;

namespace {
constexpr double rounding = 1e-12; // one division and one product in doubles, times below 10 s
}

TEST_CASE("an even clock counts missing frames into the time", "[timing]")
{
    const CaptureTime time = CaptureTime::even(250, {10}, {{{7}, 1}, {{3}, 2}}); // any order
    CHECK(time.frames().value == 10);
    CHECK(time.at({0}).count() == 0);
    CHECK_THAT(time.at({2}).count(), WithinAbs(0.008, rounding));
    CHECK_THAT(time.at({3}).count(), WithinAbs(0.020, rounding)); // (3 + 2)/250
    CHECK_THAT(time.at({9}).count(), WithinAbs(0.048, rounding)); // (9 + 3)/250
    CHECK_FALSE(time.intervalBefore({0}));
    CHECK_THAT(time.intervalBefore({2})->count(), WithinAbs(0.004, rounding));
    CHECK_THAT(time.intervalBefore({3})->count(), WithinAbs(0.012, rounding));
    CHECK(time.missingBetween({2}, {3}).value == 2);
    CHECK(time.missingBetween({3}, {6}).value == 0);
    CHECK(time.missingBetween({0}, {9}).value == 3);
    CHECK(time.resolution().count() == 0);
}

TEST_CASE("senseless counts of missing frames stay numbers", "[timing]")
{
    const CaptureTime time = CaptureTime::even(100, {100'000'000}, {{{2}, INT64_MAX}, {{3}, INT64_MAX}});
    CHECK(time.at({1}).count() == 0.01);
    CHECK(time.at({99'999'999}) > time.at({1}));
    CHECK(time.missingBetween({1}, {3}).value > 0);
}

TEST_CASE("a stamped clock takes each stamp times the slow-down", "[timing]")
{
    const CaptureTime time = CaptureTime::stamped({5.0, 5.1, 5.3}, 0.125, Seconds{0.001});
    CHECK(time.at({0}).count() == 0);
    CHECK_THAT(time.at({1}).count(), WithinAbs(0.0125, rounding));
    CHECK_THAT(time.intervalBefore({2})->count(), WithinAbs(0.025, rounding));
    CHECK_THAT(time.resolution().count(), WithinAbs(0.000125, rounding));
    CHECK_FALSE(time.unknownBetween({0}, {2}));
}

TEST_CASE("stamps that lack or run backward leave the time across them unknown", "[timing]")
{
    const CaptureTime time = CaptureTime::stamped({0, 1, std::numeric_limits<double>::quiet_NaN(), 3, 2, 4}, 1);
    CHECK_FALSE(time.unknownBetween({0}, {1}));
    CHECK_THAT(*time.unknownBetween({1}, {2}), Contains("no stamp"));
    CHECK_THAT(*time.unknownBetween({2}, {3}), Contains("no stamp"));
    CHECK_THAT(*time.unknownBetween({3}, {4}), Contains("backward"));
    CHECK_FALSE(time.unknownBetween({4}, {5}));
    CHECK_FALSE(time.unknownBetween({4}, {4}));
    CHECK(time.unknownBetween({0}, {5}));
}

TEST_CASE("only a step within the stretch asked for makes it unknown", "[timing]")
{
    const CaptureTime time = CaptureTime::even(100, {20}, {}, {{{12}, {14}, "damaged"}, {{5}, {6}, "a pause"}});
    CHECK_FALSE(time.unknownBetween({0}, {5}));
    CHECK(time.unknownBetween({5}, {6}) == "no time can be told from frame 5 to 6: a pause");
    CHECK_FALSE(time.unknownBetween({6}, {12}));
    CHECK_THAT(*time.unknownBetween({6}, {13}), Contains("damaged"));
}

TEST_CASE("only frames of the capture have a time", "[timing]")
{
    const CaptureTime time = CaptureTime::even(100, {3});
    CHECK(time.has({0}));
    CHECK(time.has({2}));
    CHECK_FALSE(time.has({3}));
    CHECK_FALSE(time.has({-1}));
}

TEST_CASE("millions of gaps and stretches are searched, not gone through, for every question", "[timing][hostile]")
{
    // A hundred thousand questions to a million of each: going through them would take minutes.
    std::vector<Gap> gaps;
    std::vector<UnknownStretch> unknown;
    for (std::int64_t i = 0; i < 1'000'000; ++i) {
        gaps.push_back({{10 * i + 5}, 2});
        unknown.push_back({{10 * i + 7}, {10 * i + 8}, "it is damaged"});
    }
    unknown.push_back({{3}, {9'000'000}, "a long one"}); // reaches beyond those that begin after it
    const CaptureTime time = CaptureTime::even(100, {10'000'000}, gaps, unknown);
    std::int64_t missing = 0, told = 0;
    for (std::int64_t i = 0; i < 100'000; ++i) {
        missing += time.missingBetween({100 * i}, {100 * i + 99}).value;
        told += !time.unknownBetween({100 * i}, {100 * i + 7}).has_value();
    }
    CHECK(missing == 100'000 * 20);
    CHECK(told == 10'000); // behind the long one
    CHECK_THAT(*time.unknownBetween({9'000'000}, {9'000'008}),
               Contains("from frame 9000007 to 9000008: it is damaged"));
}
