#include "core/media/cache/cached_picture.h"
#include "tests/core/media/frames.h"
#include <catch2/catch.hpp>
#include <cmath>

namespace {

constexpr media::Size drawnSize{641, 362};

/// Edges, slopes and a fine grid: whatever is cut or shifted by one sample looks different.
media::Picture pattern(AVPixelFormat format = AV_PIX_FMT_YUV420P, int depth = 8)
{
    return drawnPicture(format, drawnSize, [depth](int component, int x, int y) {
        const int code = component == 0 ? 16 + (x * 7 + y * 3) % 150 + (x / 40 + y / 40) % 2 * 60
                                        : 60 + (x * (component + 2) + y * 5) % 130;
        return code << (depth - 8);
    });
}

double meanDifference(const media::RgbImage& a, const media::RgbImage& b)
{
    REQUIRE(a.pixels.size() == b.pixels.size());
    double sum = 0;
    for (std::size_t i = 0; i < a.pixels.size(); ++i)
        sum += std::abs(int(a.pixels[i]) - int(b.pixels[i]));
    return sum / static_cast<double>(a.pixels.size());
}

} // namespace

TEST_CASE("rectangles that a reduced picture keeps whole are rendered and measured as from the native one",
          "[media][kept]")
{
    const auto [format, depth] = GENERATE(table<AVPixelFormat, int>({{AV_PIX_FMT_YUV420P, 8},
                                                                     {AV_PIX_FMT_YUV422P10LE, 10},
                                                                     {AV_PIX_FMT_GRAY8, 8},
                                                                     {AV_PIX_FMT_YUVJ420P, 8},
                                                                     {AV_PIX_FMT_NV12, 8}}));
    const media::Picture native = pattern(format, depth);
    const media::Rect lamp =
        GENERATE(media::Rect{101, 57, 61, 43}, media::Rect{0, 0, 50, 50}, media::Rect{600, 330, 41, 32});
    const auto kept = media::CachedPicture::reduced(native, {4, {lamp}}, native.hash());
    REQUIRE(kept);
    CHECK_FALSE(kept.native());
    CHECK(kept.size() == drawnSize);
    CHECK(kept.hash() == native.hash());
    CHECK(kept.bytes() < native.bytes() / 2);
    for (const media::Rect& source : {lamp, media::Rect{lamp.x + 5, lamp.y + 3, 20, 17}})
        for (const bool exact : {false, true})
            for (const int enlarged : {1, 5}) {
                media::View view;
                view.source = source;
                view.target = {source.width * enlarged, source.height * enlarged};
                view.smooth = enlarged < 2;
                view.exact = exact;
                INFO(native.pixelFormat()
                     << " at " << source.x << ", " << source.y << (exact ? " exact" : "") << " x " << enlarged);
                REQUIRE(kept.shows(view));
                CHECK(kept.render(view).pixels == media::render(native, view).pixels);
            }
    const auto measured = kept.measure(lamp);
    const media::RegionLevels levels = media::measure(native, lamp);
    REQUIRE(measured);
    CHECK(measured->mean == levels.mean);
    CHECK(measured->min == levels.min);
    CHECK(measured->max == levels.max);
    CHECK_FALSE(kept.measure({300, 200, 40, 40}));
}

TEST_CASE("a reduced picture shows all of it at the screen's scale, and says when that isn't enough", "[media][kept]")
{
    const media::Picture native = drawnPicture(AV_PIX_FMT_YUV420P, drawnSize, [](int component, int x, int y) {
        return component == 0 ? static_cast<int>(126 + 90 * std::sin(x / 8.0) * std::cos(y / 9.0)) : 128;
    });
    const auto kept = media::CachedPicture::reduced(native, {3, {}}, native.hash());
    REQUIRE(kept);
    media::View view;
    view.target = {drawnSize.width / 3, drawnSize.height / 3};
    REQUIRE(kept.shows(view));
    // Filtered once more on the way; shown one pixel beside its place it would be off by more than 8.
    CHECK(meanDifference(kept.render(view), media::render(native, view)) < 3);
    view.source = {0, 0, 320, 180}; // a part of it, no larger
    view.target = {106, 60};
    CHECK(kept.shows(view));
    view.target = {160, 90};
    CHECK_FALSE(kept.shows(view));
    CHECK_FALSE(kept.shows({}));
    CHECK(media::CachedPicture(native).shows({}));
    CHECK_FALSE(media::CachedPicture().shows({}));
}

TEST_CASE("what can't be shrunk, or wouldn't gain by it, isn't reduced", "[media][kept]")
{
    const media::Picture native = pattern();
    CHECK_FALSE(media::CachedPicture::reduced(native, {1, {}}, 0));
    CHECK_FALSE(media::CachedPicture::reduced(native, {4, {{0, 0, drawnSize.width, drawnSize.height}}}, 0));
    CHECK(media::CachedPicture::reducedBytes(native, {4, {{0, 0, drawnSize.width, drawnSize.height}}}) == 0);
    CHECK(media::CachedPicture::reduced(native, {4, {{-50, -50, 20, 20}, {9000, 9000, 10, 10}}},
                                        0)); // outside: nothing to keep
}
