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
    const auto rects = ui::stairs(
        trace, 0, 4, scale, [](std::int64_t n) { return int(n) * 8; }, 2);
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
    const auto rects = ui::stairs(
        trace, 0, 8, {0, 255, 0, 255}, [](std::int64_t n) { return int(n / 4); }, 1);
    CHECK(covers(rects, 0, 255 - 220)); // one lit frame among four isn't lost
    CHECK(covers(rects, 0, 255 - 50));
    CHECK_FALSE(covers(rects, 1, 255 - 220));
}

namespace {

media::Trace changing(std::initializer_list<media::Change> changes)
{
    media::Trace trace(1); // the first frame has none before it
    for (const media::Change& change : changes)
        trace.push_back({100, 100, 100, change, {}});
    return trace;
}

} // namespace

TEST_CASE("a bar stands for the larger change of luma and chroma in its frame's columns", "[bars]")
{
    const media::Trace trace = changing({{10, 0}, {0, 40}, {90, 3}, {0, 0}});
    const LevelScale scale{0, 50, 0, 50};
    const auto bars = ui::changeBars(trace, 0, 5, scale, [](std::int64_t n) { return int(n) * 8; });
    const auto height = [&](int x) {
        int rows = 0;
        for (int y = -50; y < 100; ++y)
            rows += covers(bars, x, y);
        return rows;
    };
    CHECK(height(3) == 0);
    CHECK(height(8 + 3) == 10);
    CHECK(height(16 + 3) == 40);
    CHECK(height(24 + 3) == 50); // no higher than the strip
    CHECK(height(32 + 3) == 0);
    CHECK(covers(bars, 16, 49));
    const auto shared = ui::changeBars(trace, 0, 5, scale, [](std::int64_t n) { return int(n / 3); });
    CHECK(covers(shared, 0, 10)); // 40, of the three frames' most
    CHECK_FALSE(covers(shared, 0, 9));
}

TEST_CASE("one cut of the scene doesn't flatten the bars of a reaction, nor does noise fill them", "[bars]")
{
    media::Trace trace(1);
    for (int n = 0; n < 2000; ++n) {
        const double luma = n == 1500 ? 120 : n >= 400 && n < 406 ? 12 : 1 + 0.1 * (n % 3);
        trace.push_back({100, 100, 100, media::Change{luma, 0}, {}});
    }
    const LevelScale scale = ui::changeScale(trace, 0, 100);
    CHECK(scale.high == 12);
    CHECK(scale.row(1.2) > 95);
    trace.resize(300); // the same before anything happened
    const LevelScale quiet = ui::changeScale(trace, 0, 100);
    CHECK(quiet.row(1.2) > 85);
    CHECK(ui::changeScale({}, 0, 100).high > 0);
}
