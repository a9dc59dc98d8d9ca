#include "core/media/measure/region_meter.h"
#include "core/media/index/confirmation.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/measure/trace.h"
#include "tests/core/media/films.h"
#include "tests/core/media/frames.h"
#include "tests/footage/footage.h"
#include <catch2/catch.hpp>
#include <cmath>

namespace {

using media::Picture;
using media::Rect;

constexpr media::Size odd{37, 23};
const std::vector<Rect> oddPlaces{{0, 0, 37, 23}, {3, 5, 7, 9},   {36, 22, 1, 1},
                                  {5, 3, 1, 4},   {-4, -3, 9, 8}, {30, 19, 90, 90}};

/// A code for each sample of picture `n`, all over the range.
int code(int n, int component, int x, int y, int depth)
{
    const auto mixed =
        static_cast<std::uint32_t>((n + 1) * 7919 + component * 104729 + x * 1299709 + y * 15485863) * 2654435761u;
    return static_cast<int>(mixed >> (32 - depth));
}

Picture noise(AVPixelFormat format, int n, media::Size size = odd)
{
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    return drawnPicture(format, size, [=](int c, int x, int y) { return code(n, c, x, y, kind->comp[c].depth); });
}

/// Sum of |difference| / count over the samples of a component that lie in, or are shared with, the region: by asking
/// every sample of the picture whether any of its pixels is inside.
struct Plain {
    double sum = 0;
    int count = 0;
};
Plain plainDifference(const AVPixFmtDescriptor& kind, int component, const Rect& region, int n, int m)
{
    const bool chroma = component > 0;
    const int stepX = chroma ? 1 << kind.log2_chroma_w : 1, stepY = chroma ? 1 << kind.log2_chroma_h : 1;
    Plain plain;
    for (int y = 0; y * stepY < odd.height; ++y)
        for (int x = 0; x * stepX < odd.width; ++x) {
            bool inside = false;
            for (int py = y * stepY; py < std::min(odd.height, (y + 1) * stepY); ++py)
                for (int px = x * stepX; px < std::min(odd.width, (x + 1) * stepX); ++px)
                    inside = inside
                             || (px >= region.x && px < region.x + region.width && py >= region.y
                                 && py < region.y + region.height);
            if (!inside)
                continue;
            const int depth = kind.comp[component].depth;
            plain.sum += std::abs(code(n, component, x, y, depth) - code(m, component, x, y, depth)) * 255.0
                         / ((1 << depth) - 1);
            ++plain.count;
        }
    return plain;
}

/// Sums of up to a thousand doubles, in another order.
auto same(double value) { return Catch::WithinAbs(value, 1e-9); }

} // namespace

TEST_CASE("change is the mean absolute difference of all luma and of all chroma samples of a region", "[media][change]")
{
    const auto format = GENERATE(
        AV_PIX_FMT_YUV420P, AV_PIX_FMT_YUVJ420P, AV_PIX_FMT_YUV422P, AV_PIX_FMT_YUV444P, AV_PIX_FMT_YUV410P,
        AV_PIX_FMT_YUV411P, AV_PIX_FMT_YUV440P, AV_PIX_FMT_NV12, AV_PIX_FMT_YUYV422, AV_PIX_FMT_UYVY422,
        AV_PIX_FMT_YUV420P9LE, AV_PIX_FMT_YUV420P10LE, AV_PIX_FMT_YUV422P10BE, AV_PIX_FMT_YUV444P12LE,
        AV_PIX_FMT_YUV420P14LE, AV_PIX_FMT_YUV420P16LE, AV_PIX_FMT_P010LE, AV_PIX_FMT_YUVA420P, AV_PIX_FMT_GRAY8,
        AV_PIX_FMT_GRAY10LE, AV_PIX_FMT_GRAY12LE, AV_PIX_FMT_GRAY16LE, AV_PIX_FMT_GRAY16BE, AV_PIX_FMT_YA8);
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    CAPTURE(kind->name);
    const Picture a = noise(format, 0), b = noise(format, 1);
    for (const Rect& region : oddPlaces) {
        CAPTURE(region.x, region.y, region.width, region.height);
        const auto change = media::changeBetween(a, b, region);
        REQUIRE(change);
        const Plain luma = plainDifference(*kind, 0, region, 0, 1);
        CHECK_THAT(change->luma, same(luma.sum / luma.count));
        if (kind->nb_components < 3) {
            CHECK(change->chroma == 0);
            continue;
        }
        const Plain blue = plainDifference(*kind, 1, region, 0, 1), red = plainDifference(*kind, 2, region, 0, 1);
        CHECK_THAT(change->chroma, same((blue.sum + red.sum) / (blue.count + red.count)));
        CHECK(media::changeBetween(b, a, region) == change);
    }
    CHECK(media::changeBetween(a, a, oddPlaces[0]) == media::Change{});
}

TEST_CASE("change of red, green and blue is that of the luma and colour differences they make", "[media][change]")
{
    const auto format = GENERATE(AV_PIX_FMT_RGB24, AV_PIX_FMT_BGR24, AV_PIX_FMT_BGRA, AV_PIX_FMT_GBRP,
                                 AV_PIX_FMT_GBRP10LE, AV_PIX_FMT_RGB48BE, AV_PIX_FMT_RGB48LE, AV_PIX_FMT_RGBA64LE);
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    CAPTURE(kind->name);
    const int depth = kind->comp[0].depth;
    const Picture a = noise(format, 0), b = noise(format, 1);
    for (const Rect& region : oddPlaces) {
        double luma = 0, chroma = 0;
        int pixels = 0;
        for (int y = std::max(0, region.y); y < std::min(odd.height, region.y + region.height); ++y)
            for (int x = std::max(0, region.x); x < std::min(odd.width, region.x + region.width); ++x, ++pixels) {
                double ycc[2][3];
                for (int n = 0; n < 2; ++n) {
                    const auto at = [&](int c) { return code(n, c, x, y, depth) * 255.0 / ((1 << depth) - 1); };
                    // ITU-R BT.709-6, items 3.2 and 3.3
                    ycc[n][0] = 0.2126 * at(0) + 0.7152 * at(1) + 0.0722 * at(2);
                    ycc[n][1] = (at(2) - ycc[n][0]) / 1.8556;
                    ycc[n][2] = (at(0) - ycc[n][0]) / 1.5748;
                }
                luma += std::abs(ycc[1][0] - ycc[0][0]);
                chroma += (std::abs(ycc[1][1] - ycc[0][1]) + std::abs(ycc[1][2] - ycc[0][2])) / 2;
            }
        const auto change = media::changeBetween(a, b, region);
        REQUIRE(change);
        CHECK_THAT(change->luma, same(luma / pixels));
        CHECK_THAT(change->chroma, same(chroma / pixels));
    }
}

TEST_CASE("mono pictures and palettes are measured by the light they stand for", "[media][change][picture]")
{
    const auto mono = GENERATE(AV_PIX_FMT_MONOBLACK, AV_PIX_FMT_MONOWHITE);
    const int white = mono == AV_PIX_FMT_MONOBLACK ? 1 : 0;
    const auto leftHalf = [=](int, int x, int) { return x < 8 ? white : 1 - white; };
    const auto leftQuarter = [=](int, int x, int) { return x < 4 ? white : 1 - white; };
    const Picture half = drawnPicture(mono, {16, 4}, leftHalf), quarter = drawnPicture(mono, {16, 4}, leftQuarter);
    CHECK(media::measure(half, {0, 0, 8, 4}).min == 255);
    CHECK(media::measure(half, {8, 0, 8, 4}).max == 0);
    CHECK(media::changeBetween(half, quarter, {0, 0, 16, 4}) == media::Change{255.0 / 4, 0});

    const auto paint = [](std::uint32_t argb) {
        return drawnPicture(
            AV_PIX_FMT_PAL8, {8, 8}, [](int, int, int) { return 5; },
            [=](AVFrame& frame) { reinterpret_cast<std::uint32_t*>(frame.data[1])[5] = argb; });
    };
    CHECK_THAT(media::measure(paint(0xff00ff00), {0, 0, 8, 8}).mean,
               Catch::WithinAbs(0.7152 * 255, 0.5)); // a whole code
    CHECK_THAT(media::changeBetween(paint(0xff0000ff), paint(0xffff0000), {0, 0, 8, 8})->luma,
               same((0.2126 - 0.0722) * 255));
}

TEST_CASE("there is no change between pictures of two kinds, nor outside them", "[media][change]")
{
    const Picture a = noise(AV_PIX_FMT_YUV420P, 0);
    CHECK_FALSE(media::changeBetween(a, noise(AV_PIX_FMT_YUV422P, 0), {0, 0, 5, 5}));
    CHECK_FALSE(media::changeBetween(a, noise(AV_PIX_FMT_YUV420P, 0, {38, 23}), {0, 0, 5, 5}));
    CHECK_FALSE(media::changeBetween({}, a, {0, 0, 5, 5}));
    CHECK_FALSE(media::changeBetween(a, {}, {0, 0, 5, 5}));
    CHECK_FALSE(media::changeBetween(a, a, {37, 0, 5, 5}));
    CHECK_FALSE(media::changeBetween(a, a, {INT_MAX, INT_MAX, INT_MAX, INT_MAX}));
}

TEST_CASE("each reference frame holds until the next, and gaps in what passes by leave nothing to compare with",
          "[media][change]")
{
    // Picture n is n everywhere, so that a change tells which frame it counts from.
    const auto flat = [](int n) {
        return drawnPicture(AV_PIX_FMT_YUV420P, {8, 8}, [=](int c, int, int) { return c ? 128 + n : n; });
    };
    media::RegionMeter meter({{0, 0, 8, 8}, {2, 2, 3, 3}}, {true, {{6}, {2}}});
    const auto at = [&](int n) {
        const auto levels = meter.measure({n}, flat(n));
        REQUIRE(levels.size() == 2);
        CHECK(levels[0].sinceReference == levels[1].sinceReference);
        CHECK(levels[0].mean == n);
        return levels[0];
    };
    const auto change = [](double by) { return std::optional(media::Change{by, by}); };
    CHECK_FALSE(at(0).sincePrevious);
    CHECK_FALSE(at(1).sinceReference);
    CHECK(at(2).sinceReference == change(0));
    CHECK(at(3).sinceReference == change(1));
    CHECK(at(4).sincePrevious == change(1));
    CHECK(at(5).sinceReference == change(3));
    CHECK(at(6).sinceReference == change(0));
    CHECK(at(9).sinceReference == change(3));
    CHECK_FALSE(at(11).sincePrevious); // 10 didn't come
    CHECK_FALSE(at(0).sinceReference); // anew, as after damage
    CHECK(at(1).sincePrevious == change(1));
    CHECK(at(2).sinceReference == change(0));
    CHECK_FALSE(at(8).sinceReference); // 6 didn't come
    CHECK(at(9).sincePrevious == change(1));
}

TEST_CASE("the pass that confirms an index measures the same as a trace of its own", "[media][change][trace]")
{
    for (const char* kind : {"mp4", "mkv"}) {
        const auto scanned = smallFilm(kind);
        const std::vector<Rect> regions{{11, 7, 41, 33}, {0, 0, 320, 180}};
        const media::Comparison comparison{true, {{20}}};
        const auto traces = media::traceRegions(*scanned, regions, {}, {}, {}, comparison);
        media::RegionMeter meter(regions, comparison);
        std::vector<media::Trace> passing(regions.size());
        auto unconfirmed = std::make_shared<media::Footage>(*scanned);
        unconfirmed->confirmed = false;
        media::confirmFootage(unconfirmed, {}, {}, [&](timing::FrameNumber n, const Picture& picture) {
            const auto levels = meter.measure(n, picture);
            for (std::size_t i = 0; i < levels.size(); ++i) {
                passing[i].resize(n.value);
                passing[i].push_back(levels[i]);
            }
        });
        media::FrameReader reader(scanned);
        const Picture reference = reader.read({20});
        for (std::size_t i = 0; i < regions.size(); ++i) {
            REQUIRE(passing[i].size() == traces[i].size());
            Picture before;
            for (std::size_t n = 0; n < traces[i].size(); ++n) {
                const media::RegionLevels &own = traces[i][n], &other = passing[i][n];
                CHECK(own.mean == other.mean);
                CHECK(own.sincePrevious == other.sincePrevious);
                CHECK(own.sinceReference == other.sinceReference);
                const Picture picture = reader.read({static_cast<std::int64_t>(n)});
                CHECK(own.sincePrevious == media::changeBetween(before, picture, regions[i]));
                CHECK(own.sinceReference
                      == (n < 20 ? std::nullopt : media::changeBetween(reference, picture, regions[i])));
                before = picture;
            }
        }
    }
}

TEST_CASE("change peaks in the frames in which lamp and reaction come up", "[media][change][trace]")
{
    footage::Spec spec;
    spec.camera.frames = 180;
    spec.scene.pressTimes = {0.06};
    const std::filesystem::path path = film("bench.mp4", spec);
    const footage::Truth truth = footage::foresee(spec);
    const auto rect = [](const footage::Rect& r) { return Rect{r.x, r.y, r.width, r.height}; };
    const std::int64_t lampFrame = *truth.presses.at(0).lampFrame, reactionFrame = *truth.presses.at(0).reactionFrame;
    const media::Comparison comparison{true, {{lampFrame - 2}}};
    const auto traces =
        media::traceRegions(*media::openFootage(path), {rect(truth.lamp), rect(truth.screen)}, {}, {}, {}, comparison);
    const auto steepest = [](const media::Trace& trace) {
        std::size_t most = 1;
        for (std::size_t n = 1; n < 140; ++n) // the lamp goes out again later
            if (trace[n].sincePrevious->luma > trace[most].sincePrevious->luma)
                most = n;
        return static_cast<std::int64_t>(most);
    };
    // A lamp is up within a frame of 1.04 ms; a panel of 1.2 ms, two of which pass before it has changed most, within
    // three.
    CHECK(steepest(traces[0]) - lampFrame >= 0);
    CHECK(steepest(traces[0]) - lampFrame <= 1);
    CHECK(steepest(traces[1]) - reactionFrame >= 0);
    CHECK(steepest(traces[1]) - reactionFrame <= 3);
    // Against the frame before the press the panel stays changed: several times what the moving road makes alone.
    const auto luma = [&](std::int64_t n) { return traces[1].at(static_cast<std::size_t>(n)).sinceReference->luma; };
    CHECK(luma(reactionFrame + 8) > 4 * luma(reactionFrame - 2));
    CHECK(luma(reactionFrame + 20) > 4 * luma(reactionFrame - 2));
}
