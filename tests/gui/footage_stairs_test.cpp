#include "ui/footage/stairs.h"
#include <algorithm>
#include <catch2/catch.hpp>

using ui::LevelScale;

namespace {

media::Trace traceOf(std::initializer_list<double> levels)
{
    media::Trace trace;
    for (const double level : levels)
        trace.push_back({level, level, level});
    return trace;
}

bool covers(const std::vector<QRect>& rects, int x, int y)
{
    return std::any_of(rects.begin(), rects.end(), [&](const QRect& r) { return r.contains(x, y); });
}

} // namespace

TEST_CASE("each frame's column shows that frame's level and no level between", "[stairs]")
{
    const media::Trace trace = traceOf({10, 10, 200, 90});
    const LevelScale scale{0, 255, 0, 255};
    const auto rects = ui::stairs(trace, 0, 4, scale, [](std::int64_t n) { return int(n) * 8; }, 2);
    for (int n = 0; n < 4; ++n) {
        const int y = scale.row(trace[std::size_t(n)].mean);
        CHECK(y == 255 - int(trace[std::size_t(n)].mean));
        // Behind the riser at its left edge a column holds the flat line alone.
        for (int x = n * 8 + 2; x < n * 8 + 8; ++x)
            for (int row = 0; row < 256; ++row)
                CHECK(covers(rects, x, row) == (row == y || row == y + 1));
    }
    CHECK(covers(rects, 16, 150)); // the riser from 10 to 200 stands where frame 2 begins
    CHECK_FALSE(covers(rects, 15, 150));
}

TEST_CASE("frames that share a column show all of their range", "[stairs]")
{
    const media::Trace trace = traceOf({50, 50, 50, 220, 50, 50, 50, 50});
    const auto rects = ui::stairs(trace, 0, 8, {0, 255, 0, 255}, [](std::int64_t n) { return int(n / 4); }, 1);
    CHECK(covers(rects, 0, 255 - 220)); // one lit frame among four isn't lost
    CHECK(covers(rects, 0, 255 - 50));
    CHECK_FALSE(covers(rects, 1, 255 - 220));
}
