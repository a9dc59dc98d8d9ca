#include "core/media/measure/picture_change.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/picture/picture.h"
#include "tests/core/media/frames.h"
#include "tests/footage/random.h"
#include "tests/footage/reaction_film.h"
#include "tests/footage/temp_folder.h"
#include <catch2/catch.hpp>
#include <algorithm>
#include <cmath>

namespace {

using media::ChangeMeter;
using media::ChangePart;
using media::Picture;
using media::PictureChange;
using media::Rect;

constexpr media::Size filmed{320, 192};
constexpr Rect region{96, 48, 128, 96};
constexpr double changeGain = 4;

/// What lies before the camera, in levels above black at any point: soft edges every way, finer than a block.
double sceneAt(double x, double y)
{
    return 110 + 40 * std::sin(x / 5 + y / 23) + 30 * std::sin(y / 4.3 - x / 31) + 15 * std::sin((x + y) / 3.1);
}

struct Shot {
    double dx = 0, dy = 0, light = 1; ///< where the scene lies, and how bright all of it is
    Rect patch{};                     ///< of the picture; brighter by `step`
    double step = 0;
    double noise = 0; ///< standard deviation
    double blue = 0;  ///< levels of Cb more in the patch
    AVPixelFormat format = AV_PIX_FMT_YUV420P;
};

Picture taken(const Shot& shot, std::uint64_t seed = 1)
{
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(shot.format);
    footage::Random random(seed, 5);
    const bool rgb = kind->flags & AV_PIX_FMT_FLAG_RGB;
    return drawnPicture(shot.format, filmed, [&](int component, int x, int y) {
        const int depth = kind->comp[component].depth;
        const double code = double((1 << depth) - 1) / 255;
        const bool colour = !rgb && component > 0;
        const int perX = colour ? 1 << kind->log2_chroma_w : 1, perY = colour ? 1 << kind->log2_chroma_h : 1;
        const double px = (x + 0.5) * perX, py = (y + 0.5) * perY;
        const Rect& p = shot.patch;
        const bool inPatch = px >= p.x && px < p.x + p.width && py >= p.y && py < p.y + p.height;
        double level = shot.noise * random.normal();
        if (colour)
            level += 128 + (inPatch && component == 1 ? shot.blue : 0);
        else
            level += shot.light * (sceneAt(px - shot.dx, py - shot.dy) + (inPatch ? shot.step : 0));
        if (!rgb)
            level = colour ? 128 + (level - 128) * 224 / 255 : 16 + level * 219 / 255;
        return std::clamp(int(std::lround(level * code)), 0, (1 << depth) - 1);
    });
}

std::optional<PictureChange> between(const Shot& before, const Shot& now, int factor = 1)
{
    return ChangeMeter().measure(taken(before, 1), taken(now, 2), region, {region, factor, changeGain});
}

/// Mean of what the image shows, in levels, over those of its pixels for which `of` holds.
template <class Of> double shown(const PictureChange& change, Of of, bool absolute)
{
    double sum = 0;
    int count = 0;
    for (int y = 0; y < change.image.height; ++y)
        for (int x = 0; x < change.image.width; ++x)
            if (of(x, y)) {
                const double d = (change.image.pixels[3 * (y * change.image.width + x) + 1] - 128) / changeGain;
                sum += absolute ? std::abs(d) : d;
                ++count;
            }
    return sum / count;
}

constexpr auto everywhere = [](int, int) { return true; };

bool inside(const Rect& r, const Rect& in, int margin)
{
    return r.x >= in.x - margin && r.y >= in.y - margin && r.x + r.width <= in.x + in.width + margin
           && r.y + r.height <= in.y + in.height + margin;
}

} // namespace

TEST_CASE("a picture that has only moved and become brighter shows no change", "[change]")
{
    const AVPixelFormat format =
        GENERATE(AV_PIX_FMT_YUV420P, AV_PIX_FMT_YUV422P10LE, AV_PIX_FMT_GRAY8, AV_PIX_FMT_RGB24);
    const Shot before{.noise = 1, .format = format};
    const Shot now{.dx = 1.37, .dy = -0.62, .light = 1.06, .noise = 1, .format = format};
    const auto change = between(before, now);
    REQUIRE(change);
    CHECK(change->dx == Approx(1.37).margin(0.05)); // the fit's own precision is a few hundredths
    CHECK(change->dy == Approx(-0.62).margin(0.05));
    CHECK(change->light == Approx(1.06).margin(0.01));
    CHECK(change->blocks.empty());
    CHECK(shown(*change, everywhere, true) < 1.0); // of scene edges that change by 15 levels a pixel
    CHECK(std::abs(shown(*change, everywhere, false)) < 0.4);
}

TEST_CASE("a block that has changed stands out of a moved and brightened picture where it is", "[change]")
{
    const Rect patch{136, 80, 24, 16};
    Shot now{.dx = -0.8, .dy = 0.45, .light = 0.95, .patch = patch, .step = 14, .noise = 2};
    const auto change = between({.noise = 2}, now);
    REQUIRE(change);
    REQUIRE_FALSE(change->blocks.empty());
    int covered = 0;
    for (const Rect& block : change->blocks) {
        CHECK(inside(block, patch, 8)); // a block that it only touches may count
        covered += block.width * block.height;
    }
    CHECK(covered >= patch.width * patch.height / 2);
    const auto inPatch = [&](int x, int y) { return inside({region.x + x, region.y + y, 1, 1}, patch, -2); };
    CHECK(shown(*change, inPatch, false) == Approx(14).margin(1.5));
    CHECK(std::abs(shown(
              *change,
              [&](int x, int y) {
                  return !inside({region.x + x, region.y + y, 1, 1}, patch, 2);
              },
              false))
          < 0.5);

    SECTION("the image is as fine as is asked for")
    {
        const auto coarse = between({.noise = 2}, now, 4);
        REQUIRE(coarse);
        CHECK(coarse->image.width == region.width / 4);
        CHECK(coarse->image.height == region.height / 4);
        CHECK(shown(
                  *coarse,
                  [&](int x, int y) {
                      return inside({region.x + 4 * x, region.y + 4 * y, 4, 4}, patch, 0);
                  },
                  false)
              == Approx(14).margin(1.5));
    }
}

TEST_CASE("a change of colour alone is a change", "[change]")
{
    const Rect patch{144, 80, 32, 32};
    const auto change = between({.noise = 2}, {.patch = patch, .noise = 2, .blue = 12});
    REQUIRE(change);
    REQUIRE_FALSE(change->blocks.empty());
    for (const Rect& block : change->blocks)
        CHECK(inside(block, patch, 8));
    const std::size_t middle = std::size_t(3 * ((96 - region.y) * change->image.width + (160 - region.x)));
    // Blue takes 2 (1 - 0.114) of Cb by ITU-R BT.601-7, which pictures of less than 720 lines without tags have.
    CHECK(change->image.pixels[middle + 2] == Approx(128 + changeGain * 12 * 1.772).margin(3 * changeGain));
}

TEST_CASE("that all of the region becomes brighter is a change unless the surroundings do", "[change]")
{
    const auto change = between({.noise = 1}, {.patch = region, .step = 25, .noise = 1});
    REQUIRE(change);
    CHECK(change->light == Approx(1).margin(0.005));
    CHECK(change->blocks.size() > 150); // of 16 x 12
    CHECK(shown(*change, everywhere, false) == Approx(25).margin(1.5));
}

TEST_CASE("what can't be compared isn't", "[change]")
{
    const Picture picture = taken({});
    ChangeMeter meter;
    const ChangePart all{region, 1, changeGain};
    CHECK_FALSE(meter.measure(taken({.format = AV_PIX_FMT_RGB24}), picture, region, all));
    const Picture small = drawnPicture(AV_PIX_FMT_YUV420P, {64, 64}, [](int, int, int) { return 90; });
    CHECK_FALSE(meter.measure(small, picture, region, all));
    CHECK_FALSE(meter.measure(picture, picture, {400, 20, 30, 30}, {{400, 20, 30, 30}, 1, changeGain}));
    const Picture tiny = drawnPicture(AV_PIX_FMT_YUV420P, {16, 16}, [](int, int, int) { return 90; });
    CHECK_FALSE(meter.measure(tiny, tiny, {0, 0, 8, 8}, {{0, 0, 8, 8}, 1, changeGain}));
    const auto same = meter.measure(picture, picture, region, all);
    REQUIRE(same);
    CHECK(shown(*same, everywhere, true) == 0);
    // A region that reaches beyond the picture is what of it lies inside.
    const auto edge = meter.measure(picture, picture, {250, 150, 200, 200}, {{250, 150, 200, 200}, 1, changeGain});
    REQUIRE(edge);
    CHECK(edge->image.width == filmed.width - 250);
    CHECK(edge->image.height == filmed.height - 150);
}

TEST_CASE("on hand-held footage nothing is outlined before the response, and the response is", "[change][film]")
{
    footage::ReactionSpec spec;
    spec.shake = 1;
    spec.ripple = 0.02;
    spec.noise = 3.5;
    spec.speed = 5;
    spec.kind = GENERATE(footage::ReactionKind::MotionStarts, footage::ReactionKind::Appears);
    const TempFolder folder;
    const auto path = folder / "hand_held.mp4";
    const footage::ReactionTruth truth = footage::filmReactions(spec, path);
    const auto open = media::openFootage(path);
    media::FrameReader reader(open);
    const Rect screen{truth.screen.x, truth.screen.y, truth.screen.width, truth.screen.height};
    ChangeMeter meter;
    int quiet = 0, outlined = 0, seen = 0;
    for (const auto& press : truth.presses) {
        REQUIRE(press.response);
        const Picture before = reader.read({press.first - 1});
        const auto change = [&](int n) { return meter.measure(before, reader.read({n}), screen, {screen, 1, 4}); };
        for (int n = press.first; n < *press.response; ++n, ++quiet) {
            const auto found = change(n);
            REQUIRE(found);
            outlined += !found->blocks.empty();
            const auto &there = truth.camera[press.first - 1], &here = truth.camera[n];
            CHECK(found->dx == Approx(here.x - there.x).margin(0.3)); // little of a small picture is left by the codec
            CHECK(found->dy == Approx(here.y - there.y).margin(0.3));
        }
        const auto after = change(*press.response + 12); // three refreshes
        REQUIRE(after);
        seen += !after->blocks.empty();
    }
    CHECK(seen == std::ssize(truth.presses));
    INFO(outlined << " of " << quiet << " frames before a response have blocks outlined");
    CHECK(20 * outlined <= quiet);
}

TEST_CASE("a pixel's value is the file's own code", "[change]")
{
    const Picture colour = drawnPicture(AV_PIX_FMT_YUV420P10LE, {9, 7},
                                        [](int component, int x, int y) { return 300 * component + 10 * y + x; });
    const auto value = media::pixelAt(colour, 7, 5);
    REQUIRE(value);
    CHECK(value->codes == std::vector<int>{57, 323, 623}); // chroma covers two by two
    CHECK(value->depth == 10);
    CHECK_FALSE(value->rgb);
    CHECK(media::pixelAt(colour, 8, 6)->codes == std::vector<int>{68, 334, 634}); // the last one covers one
    const Picture rgb =
        drawnPicture(AV_PIX_FMT_RGB24, {4, 4}, [](int component, int x, int y) { return 50 * component + 4 * y + x; });
    CHECK(media::pixelAt(rgb, 2, 1)->codes == std::vector<int>{6, 56, 106});
    CHECK(media::pixelAt(rgb, 2, 1)->rgb);
    const Picture grey = drawnPicture(AV_PIX_FMT_GRAY8, {4, 4}, [](int, int x, int y) { return 4 * y + x; });
    CHECK(media::pixelAt(grey, 3, 3)->codes == std::vector<int>{15});
    for (const auto& [x, y] : {std::pair(-1, 0), std::pair(0, -1), std::pair(4, 0), std::pair(0, 4)})
        CHECK_FALSE(media::pixelAt(grey, x, y));
    CHECK_FALSE(media::pixelAt({}, 0, 0));
}

TEST_CASE("local contrast lifts what is faint beside what is bright, and leaves noise low", "[change][contrast]")
{
    // Left half dark with faint stripes, right half bright with the same; a flat corner with a step of one code.
    const Picture picture = drawnPicture(AV_PIX_FMT_GRAY8, {320, 192}, [](int, int x, int y) {
        const int base = x < 160 ? 20 : 215;
        return y < 96 ? base + (x + y) % 2 : base + (x / 8 % 2 ? 8 : 0);
    });
    media::View view;
    view.localContrast = true;
    const media::RgbImage image = media::render(picture, view);
    const auto at = [&](int x, int y) { return int(image.pixels[3 * (y * image.width + x)]); };
    for (const int x : {60, 252}) // both sides alike, a few tiles from the edge between them
        CHECK(std::abs(at(x, 160) - at(x + 8, 160)) > 50);
    for (const int x : {60, 252})
        CHECK(std::abs(at(x, 40) - at(x + 1, 40)) <= 12);
    CHECK(at(60, 40) == Approx(at(252, 40)).margin(12));
}
