#include "core/media/picture/rendition.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "tests/core/media/films.h"
#include "tests/core/media/frames.h"
#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>

using media::Picture;
using media::RgbImage;
using media::View;

namespace {

std::array<int, 3> pixel(const RgbImage& image, int x, int y)
{
    const std::size_t at =
        3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(image.width) + static_cast<std::size_t>(x));
    return {image.pixels.at(at), image.pixels.at(at + 1), image.pixels.at(at + 2)};
}

/// Kr and Kb of ITU-R BT.601-7 (item 2.5.1), BT.709-6 (item 3.2) and BT.2020-2 (table 4); the rest follows from them.
struct Weights {
    double red, blue;
};
constexpr Weights bt601{0.299, 0.114}, bt709{0.2126, 0.0722}, bt2020{0.2627, 0.0593};

std::array<double, 3> toRgb(Weights w, bool full, double y, double cb, double cr)
{
    const double luma = full ? y / 255 : (y - 16) / 219;
    const double blue = (full ? (cb - 128) / 255 : (cb - 128) / 224) * 2 * (1 - w.blue);
    const double red = (full ? (cr - 128) / 255 : (cr - 128) / 224) * 2 * (1 - w.red);
    const double r = luma + red, b = luma + blue;
    const double g = (luma - w.red * r - w.blue * b) / (1 - w.red - w.blue);
    const auto code = [](double v) { return 255 * std::clamp(v, 0.0, 1.0); };
    return {code(r), code(g), code(b)};
}

void checkColours(AVPixelFormat format, int height, Weights weights, bool full,
                  const std::function<void(AVFrame&)>& tag)
{
    const int depth = av_pix_fmt_desc_get(format)->comp[0].depth;
    const int scale = 1 << (depth - 8);
    const std::array<std::array<int, 3>, 7> colours{{{16, 128, 128},
                                                     {235, 128, 128},
                                                     {126, 128, 128},
                                                     {63, 102, 240},
                                                     {173, 42, 26},
                                                     {32, 240, 118},
                                                     {180, 100, 150}}};
    for (const auto& colour : colours) {
        const Picture picture = drawnPicture(
            format, {32, height}, [&](int c, int, int) { return colour[c] * scale; }, tag);
        const RgbImage image = media::render(picture, {});
        const auto expected = toRgb(weights, full, colour[0], colour[1], colour[2]);
        const auto found = pixel(image, 7, height / 2);
        for (std::size_t c = 0; c < 3; ++c) {
            CAPTURE(depth, height, full, colour[0], colour[1], colour[2], c);
            CHECK_THAT(found[c],
                       Catch::WithinAbs(expected[c], 1.6)); // one code of rounding, libswscale's tables the rest
        }
    }
}

/// Every pixel its own.
Picture chart(media::Size size, AVPixelFormat format = AV_PIX_FMT_RGB24)
{
    return drawnPicture(format, size, [](int c, int x, int y) { return (x * 7 + y * 13 + c * 50) % 256; });
}

} // namespace

TEST_CASE("colours follow the picture's own matrix and range", "[media][rendition]")
{
    const auto tagged = [](AVColorSpace matrix, AVColorRange range) {
        return [=](AVFrame& frame) {
            frame.colorspace = matrix;
            frame.color_range = range;
        };
    };
    checkColours(AV_PIX_FMT_YUV444P, 32, bt601, false, tagged(AVCOL_SPC_SMPTE170M, AVCOL_RANGE_MPEG));
    checkColours(AV_PIX_FMT_YUV420P, 32, bt709, false, tagged(AVCOL_SPC_BT709, AVCOL_RANGE_MPEG));
    checkColours(AV_PIX_FMT_YUV420P, 32, bt709, true, tagged(AVCOL_SPC_BT709, AVCOL_RANGE_JPEG));
    checkColours(AV_PIX_FMT_YUVJ420P, 32, bt601, true, {});
    checkColours(AV_PIX_FMT_YUV422P10LE, 32, bt2020, false, tagged(AVCOL_SPC_BT2020_NCL, AVCOL_RANGE_MPEG));
    checkColours(AV_PIX_FMT_YUV420P, 718, bt601, false, {}); // untagged: by the number of lines
    checkColours(AV_PIX_FMT_YUV420P, 720, bt709, false, {});
}

TEST_CASE("grey keeps its codes, and is spread out where it says that it is of limited range", "[media][rendition]")
{
    const auto grey = [](AVPixelFormat format, int code, AVColorRange range) {
        const Picture picture = drawnPicture(
            format, {16, 16}, [=](int, int, int) { return code; }, [=](AVFrame& frame) { frame.color_range = range; });
        return pixel(media::render(picture, {}), 3, 3)[1];
    };
    CHECK(grey(AV_PIX_FMT_GRAY8, 100, AVCOL_RANGE_UNSPECIFIED) == 100);
    CHECK(grey(AV_PIX_FMT_GRAY8, 16, AVCOL_RANGE_MPEG) == 0);
    CHECK(grey(AV_PIX_FMT_GRAY8, 235, AVCOL_RANGE_MPEG) == 255);
    CHECK(grey(AV_PIX_FMT_GRAY16LE, 100 * 257, AVCOL_RANGE_JPEG) == 100);
}

TEST_CASE("a region holds the very pixels that the whole picture shows there", "[media][rendition]")
{
    const auto format = GENERATE(AV_PIX_FMT_YUV420P, AV_PIX_FMT_YUV422P10LE, AV_PIX_FMT_NV12, AV_PIX_FMT_YUV444P,
                                 AV_PIX_FMT_RGB24, AV_PIX_FMT_GRAY8, AV_PIX_FMT_YUYV422);
    const media::Size size = format == AV_PIX_FMT_YUYV422 ? media::Size{102, 63} : media::Size{101, 63};
    const int top = (1 << av_pix_fmt_desc_get(format)->comp[0].depth) - 1;
    const Picture picture =
        drawnPicture(format, size, [=](int c, int x, int y) { return (x * (c + 3) * 31 + y * 57 + c * 91) % top; });
    const RgbImage whole = media::render(picture, {});
    REQUIRE(whole.width == size.width);
    REQUIRE(whole.height == size.height);
    for (const media::Rect region : {media::Rect{0, 0, 20, 20}, media::Rect{33, 17, 31, 9}, media::Rect{100, 62, 1, 1},
                                     media::Rect{-7, 50, 30, 40}, media::Rect{1, 1, 99, 61}}) {
        View view;
        view.source = region;
        const RgbImage part = media::render(picture, view);
        const int left = std::max(region.x, 0), upper = std::max(region.y, 0);
        CAPTURE(av_pix_fmt_desc_get(format)->name, region.x, region.y);
        REQUIRE(part.width == std::min(region.x + region.width, size.width) - left);
        REQUIRE(part.height == std::min(region.y + region.height, size.height) - upper);
        int differing = 0;
        for (int y = 0; y < part.height; ++y)
            for (int x = 0; x < part.width; ++x)
                differing += pixel(part, x, y) != pixel(whole, left + x, upper + y);
        CHECK(differing == 0);
    }
    View outside;
    outside.source = {200, 200, 5, 5};
    CHECK(media::render(picture, outside).pixels.empty());
    CHECK(media::render({}, {}).pixels.empty());
}

TEST_CASE("enlarged pixels stay squares of one colour when asked to", "[media][rendition]")
{
    const Picture picture = chart({24, 18});
    View view;
    view.source = {5, 3, 4, 3};
    view.target = {40, 30};
    view.smooth = false;
    const RgbImage image = media::render(picture, view);
    REQUIRE(image.width == 40);
    REQUIRE(image.height == 30);
    const RgbImage plain = media::render(picture, {});
    for (int y = 0; y < 30; ++y)
        for (int x = 0; x < 40; ++x)
            REQUIRE(pixel(image, x, y) == pixel(plain, 5 + x / 10, 3 + y / 10));
}

TEST_CASE("smooth scaling keeps an even colour and doesn't ring at an edge", "[media][rendition]")
{
    const Picture picture = drawnPicture(AV_PIX_FMT_RGB24, {40, 40}, [](int, int x, int) { return x < 20 ? 40 : 200; });
    const bool exact = GENERATE(true, false);
    for (const media::Size target :
         {media::Size{17, 23}, media::Size{133, 97}, media::Size{40, 40}, media::Size{1, 1}}) {
        View view;
        view.target = target;
        view.exact = exact;
        const RgbImage image = media::render(picture, view);
        REQUIRE(image.width == target.width);
        REQUIRE(image.height == target.height);
        const auto [low, high] = std::minmax_element(image.pixels.begin(), image.pixels.end());
        CHECK(*low >= 39);
        CHECK(*high <= 201);
        if (target.width > 8) {
            CHECK_THAT(pixel(image, 0, 0)[0], Catch::WithinAbs(40, 1));
            CHECK_THAT(pixel(image, target.width - 1, 0)[0], Catch::WithinAbs(200, 1));
        }
    }
}

TEST_CASE("a picture is turned clockwise after scaling", "[media][rendition]")
{
    const Picture picture = chart({6, 4});
    const RgbImage plain = media::render(picture, {});
    View view;
    view.rotation = 90;
    const RgbImage right = media::render(picture, view);
    view.rotation = 180;
    const RgbImage half = media::render(picture, view);
    view.rotation = 270;
    const RgbImage left = media::render(picture, view);
    REQUIRE(right.width == 4);
    REQUIRE(right.height == 6);
    for (int y = 0; y < 4; ++y) {
        for (int x = 0; x < 6; ++x) {
            REQUIRE(pixel(right, 3 - y, x) == pixel(plain, x, y)); // the top left corner goes to the top right
            REQUIRE(pixel(half, 5 - x, 3 - y) == pixel(plain, x, y));
            REQUIRE(pixel(left, y, 5 - x) == pixel(plain, x, y));
        }
    }
    view.target = {12, 8};
    const RgbImage larger = media::render(picture, view);
    CHECK(larger.width == 8);
    CHECK(larger.height == 12);
}

TEST_CASE("gain and gamma brighten what is shown", "[media][rendition]")
{
    const Picture picture = drawnPicture(AV_PIX_FMT_GRAY8, {16, 4}, [](int, int x, int) { return x * 16; });
    View view;
    view.gain = 2;
    const RgbImage bright = media::render(picture, view);
    view.gain = 1;
    view.gamma = 2;
    const RgbImage lifted = media::render(picture, view);
    for (int x = 0; x < 16; ++x) {
        CHECK(pixel(bright, x, 0)[0] == std::min(255, 2 * 16 * x));
        CHECK(pixel(lifted, x, 0)[0] == std::lround(255 * std::sqrt(16 * x / 255.0)));
    }
}

TEST_CASE("evidence is cut about the region's centre and holds exact pixels", "[media][rendition]")
{
    const Picture picture = chart({120, 90});
    const RgbImage whole = media::render(picture, {});
    const RgbImage small = media::evidenceCrop(picture, {10, 20, 30, 40});
    CHECK(small.width == 30);
    CHECK(small.height == 40);
    CHECK(pixel(small, 4, 5) == pixel(whole, 14, 25));
    const RgbImage large = media::evidenceCrop(picture, {0, 0, 120, 90}, 1200);
    CHECK(large.width * large.height <= 1200);
    CHECK(large.width == 40);
    CHECK(large.height == 30);
    CHECK(pixel(large, 20, 15) == pixel(whole, 60, 45));
    const RgbImage strip = media::evidenceCrop(picture, {0, 40, 120, 1}, 10);
    CHECK(strip.width * strip.height <= 10);
    CHECK(strip.height == 1);
    CHECK(media::evidenceCrop(picture, {500, 500, 10, 10}).pixels.empty());
}

TEST_CASE("a PNG gives back the pixels that went in", "[media][rendition]")
{
    const TempFolder folder;
    const RgbImage image = media::render(chart({37, 21}), {});
    writePng(image, folder / "1.png");
    const auto footage = media::openFootage(folder.path());
    REQUIRE(footage->frames.size() == 1);
    CHECK(media::render(media::FrameReader(footage).read({0}), {}).pixels == image.pixels);
}
