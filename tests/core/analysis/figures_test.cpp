#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"

#include <catch2/catch.hpp>

using namespace analysis;

TEST_CASE("numbers that somebody typed in stay as short as they were", "[report]")
{
    CHECK(plain(2) == "2");
    CHECK(plain(1.5) == "1.5");
    CHECK(plain(959.04) == "959.04");
    CHECK(percent(0.95) == "95 %");
    CHECK(percent(0.999) == "99.9 %");
    CHECK(percent(1 - 0.05 / 3) == "98.33 %");
}

TEST_CASE("one and many are told apart", "[report]")
{
    CHECK(counted(0, "trial", "trials") == "0 trials");
    CHECK(counted(1, "trial", "trials") == "1 trial");
    CHECK(counted(24, "trial", "trials") == "24 trials");
}

TEST_CASE("a capture rate carries the decimals its uncertainty supports", "[report]")
{
    const auto text = [](double rate, double relative) {
        return rateText({timing::Origin::Declared, rate, {}, relative, {}});
    };
    CHECK(text(959.94, 0.0173) == "960");    // +- 17
    CHECK(text(959.94, 0.0002) == "959.94"); // +- 0.19
    CHECK(text(959.9401, 0.0000001) == "959.940");
    CHECK(text(959.94, 0) == "959.94"); // as typed
}

TEST_CASE("a single delay is rounded by the width of its range", "[report]")
{
    timing::TrialDelay delay;
    delay.delay = timing::Milliseconds(93.3333);
    delay.earliest = timing::Milliseconds(92.2917);
    delay.latest = timing::Milliseconds(94.375);
    const DelayFigure figure = delayFigure(delay); // 2.08 ms wide
    CHECK(figure.delay == "93.3");
    CHECK(figure.earliest == "92.3");
    CHECK(figure.latest == "94.4");

    delay.latest = timing::Milliseconds(108.96); // 16.7 ms wide
    CHECK(delayFigure(delay).delay == "93");
}
