#include "core/media/picture/picture.h"
#include "tests/core/media/frames.h"
#include <catch2/catch.hpp>
#include <set>

using media::Picture;
using media::Rect;

TEST_CASE("a picture's md5 is that of its bytes without padding", "[media][picture]")
{
    // RFC 1321, A.5: MD5 of "abc" and of "abcdefghijklmnopqrstuvwxyz"
    const auto letters = [](int, int x, int y) { return 'a' + x + 3 * y; };
    CHECK(drawnPicture(AV_PIX_FMT_GRAY8, {3, 1}, letters).md5() == "900150983cd24fb0d6963f7d28e17f72");
    CHECK(drawnPicture(AV_PIX_FMT_GRAY8, {26, 1}, letters).md5() == "c3fcd3d76192e4007dfb496cca67e13b");
    const auto rows = [](int, int x, int y) { return 'a' + x + 13 * y; };
    CHECK(drawnPicture(AV_PIX_FMT_GRAY8, {13, 2}, rows).md5() == "c3fcd3d76192e4007dfb496cca67e13b");
}

TEST_CASE("a picture tells its size, format and depth, an empty one nothing", "[media][picture]")
{
    const Picture picture = drawnPicture(AV_PIX_FMT_YUV420P10LE, {33, 17}, [](int, int, int) { return 500; });
    CHECK(picture.size() == media::Size{33, 17});
    CHECK(picture.pixelFormat() == "yuv420p10le");
    CHECK(picture.bytes() >= 2 * (33 * 17 + 2 * 17 * 9));
    const Picture nothing;
    CHECK_FALSE(nothing);
    CHECK(nothing.size() == media::Size{});
    CHECK(nothing.bytes() == 0);
    CHECK(media::measure(nothing, {0, 0, 5, 5}).max == 0);
}

TEST_CASE("the hash sees any change of any sample, size or format", "[media][picture]")
{
    const auto make = [](AVPixelFormat format, media::Size size, int changed, int component, int by) {
        return drawnPicture(format, size, [=](int c, int x, int y) {
            const int place = y * size.width + x;
            return 60 + (c == component && place == changed ? by : 0);
        });
    };
    std::set<std::uint64_t> hashes{make(AV_PIX_FMT_YUV420P, {37, 11}, -1, 0, 0).hash(),
                                   make(AV_PIX_FMT_YUV420P, {38, 11}, -1, 0, 0).hash(),
                                   make(AV_PIX_FMT_YUV422P, {37, 11}, -1, 0, 0).hash()};
    std::size_t expected = 3;
    for (int place = 0; place < 37 * 11; ++place, expected += 2)
        for (const int by : {1, 128})
            hashes.insert(make(AV_PIX_FMT_YUV420P, {37, 11}, place, 0, by).hash());
    for (int y = 0; y < 6; ++y)
        for (int x = 0; x < 19; ++x, ++expected)
            hashes.insert(make(AV_PIX_FMT_YUV420P, {37, 11}, y * 37 + x, 2, 1).hash());
    CHECK(hashes.size() == expected);

    // Two changes of the highest bit, a whole number of words apart, mustn't cancel out.
    const auto twice = [](int a, int b) {
        return drawnPicture(AV_PIX_FMT_GRAY8, {512, 1}, [=](int, int x, int) { return x == a || x == b ? 128 : 0; })
            .hash();
    };
    std::set<std::uint64_t> pairs;
    for (int b = 39; b < 512; b += 32)
        pairs.insert(twice(7, b));
    CHECK(pairs.size() == 15);
    CHECK(make(AV_PIX_FMT_YUV420P, {37, 11}, -1, 0, 0).hash() == make(AV_PIX_FMT_YUV420P, {37, 11}, -1, 0, 0).hash());
}

TEST_CASE("a region's brightness is that of its luma samples, 0 to 255 at any depth", "[media][picture]")
{
    const auto format =
        GENERATE(AV_PIX_FMT_YUV420P, AV_PIX_FMT_NV12, AV_PIX_FMT_YUYV422, AV_PIX_FMT_GRAY8, AV_PIX_FMT_YUV422P10LE,
                 AV_PIX_FMT_YUV420P12LE, AV_PIX_FMT_GRAY16LE, AV_PIX_FMT_GRAY16BE, AV_PIX_FMT_P010LE);
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    CAPTURE(kind->name);
    const int depth = kind->comp[0].depth, top = (1 << depth) - 1;
    // Full below row 4, a tenth above, and one pixel at half; chroma is no matter.
    const Picture picture = drawnPicture(format, {16, 8}, [&](int c, int x, int y) {
        if (c > 0)
            return 3;
        return x == 9 && y == 6 ? top / 2 : y < 4 ? top / 10 : top;
    });
    const media::RegionLevels whole = media::measure(picture, {0, 0, 16, 8});
    // Codes are whole numbers: half a code of 8 bits at most.
    CHECK_THAT(whole.min, Catch::WithinAbs(25.5, 0.5));
    CHECK_THAT(whole.max, Catch::WithinAbs(255, 1e-9));
    CHECK_THAT(whole.mean, Catch::WithinAbs((64 * 25.5 + 63 * 255 + 127.5) / 128, 0.5));
    const media::RegionLevels part = media::measure(picture, {9, 6, 1, 1});
    CHECK_THAT(part.mean, Catch::WithinAbs(127.5, 0.5));
    CHECK(part.min == part.max);
    const media::RegionLevels clipped = media::measure(picture, {-5, 4, 8, 100});
    CHECK_THAT(clipped.mean, Catch::WithinAbs(255, 1e-9));
    CHECK(media::measure(picture, {16, 0, 4, 4}).max == 0);
    CHECK(media::measure(picture, {0, 0, 0, 4}).max == 0);
    CHECK(media::measure(picture, {INT_MAX, INT_MAX, INT_MAX, INT_MAX}).max == 0);
}

TEST_CASE("brightness of colour without a luma plane weighs the primaries", "[media][picture]")
{
    const auto format = GENERATE(AV_PIX_FMT_RGB24, AV_PIX_FMT_BGR24, AV_PIX_FMT_GBRP, AV_PIX_FMT_RGB48BE);
    const int scale = av_pix_fmt_desc_get(format)->comp[0].depth == 16 ? 257 : 1;
    const auto levels = [&](int red, int green, int blue) {
        const Picture picture = drawnPicture(format, {8, 8}, [=](int c, int, int) {
            return scale * (c == 0 ? red : c == 1 ? green : blue);
        });
        return media::measure(picture, {0, 0, 8, 8}).mean;
    };
    // ITU-R BT.709-6, item 3.2: 0.2126, 0.7152, 0.0722; to a code, as the sum is rounded
    CHECK_THAT(levels(255, 0, 0), Catch::WithinAbs(54.2, 0.5));
    CHECK_THAT(levels(0, 255, 0), Catch::WithinAbs(182.4, 0.5));
    CHECK_THAT(levels(0, 0, 255), Catch::WithinAbs(18.4, 0.5));
    CHECK_THAT(levels(255, 255, 255), Catch::WithinAbs(255, 1e-9));
}
