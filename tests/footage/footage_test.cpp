#include "tests/footage/footage.h"
#include "tests/footage/sequential_decode.h"
#include "tests/footage/temp_folder.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>

namespace fs = std::filesystem;
using footage::Spec;

namespace {

std::string bytes(const fs::path& path)
{
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<int> barcodes(const fs::path& path)
{
    std::vector<int> numbers;
    footage::decodeFile(path, [&](const AVFrame& frame) { numbers.push_back(footage::barcodeOf(frame).value_or(-1)); });
    return numbers;
}

std::vector<int> expected(const footage::Truth& truth)
{
    std::vector<int> numbers;
    for (const footage::TrueFrame& frame : truth.frames)
        numbers.push_back(frame.pictureIndex);
    return numbers;
}

Spec smallBench()
{
    Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 540;
    spec.scene.pressTimes = {0.05, 0.40};
    spec.storage.quality = 16;
    return spec;
}

Spec smallPattern(int frames = 40)
{
    Spec spec;
    spec.scene.kind = footage::SceneKind::Pattern;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = frames;
    return spec;
}

/// First frame at or after `from` whose mean rises past a tenth of the way from the darkest to the brightest of all.
int firstAbove(const std::vector<double>& means, int from)
{
    const double low = *std::min_element(means.begin(), means.end()),
                 high = *std::max_element(means.begin(), means.end());
    for (std::size_t n = static_cast<std::size_t>(from); n < means.size(); ++n)
        if (means[n] >= low + 0.1 * (high - low))
            return static_cast<int>(n);
    return -1;
}

} // namespace

TEST_CASE("the same spec gives the same bytes and another seed gives others", "[footage]")
{
    const TempFolder folder;
    Spec spec = smallBench();
    spec.camera.frames = 60;
    footage::make(spec, folder / "a.mp4");
    footage::make(spec, folder / "b.mp4");
    footage::make(spec, folder / "again.mp4");
    spec.seed = 2;
    footage::make(spec, folder / "c.mp4");
    CHECK(bytes(folder / "a.mp4") == bytes(folder / "b.mp4"));
    CHECK(bytes(folder / "a.mp4") == bytes(folder / "again.mp4"));
    CHECK(bytes(folder / "a.mp4") != bytes(folder / "c.mp4"));
}

TEST_CASE("a brightness threshold on the decoded regions finds the true press and reaction frames", "[footage]")
{
    const TempFolder folder;
    Spec spec = smallBench();
    SECTION("global shutter") {}
    SECTION("rolling shutter from the bottom")
    {
        spec.camera.lineTime = 4e-6;
        spec.camera.readFromBottom = true;
    }
    SECTION("stored upside down, to be turned by 180 degrees") { spec.storage.rotation = 180; }
    SECTION("lost and repeated pictures")
    {
        for (int k = 0; k < 540; ++k) {
            if (k % 10 == 7)
                spec.camera.missing.push_back(k);
            if (k % 4 == 3)
                spec.camera.repeated.push_back(k);
        }
    }
    SECTION("10 bit HEVC")
    {
        spec.storage.codec = "libx265";
        spec.storage.pixelFormat = "yuv420p10le";
        spec.storage.preset = "ultrafast";
    }
    const auto truth = footage::make(spec, folder / "a.mp4");

    std::vector<double> lamp, screen;
    footage::decodeFile(folder / "a.mp4", [&](const AVFrame& frame) {
        lamp.push_back(footage::regionMean(frame, truth.lamp));
        screen.push_back(footage::regionMean(frame, truth.screen));
    });
    REQUIRE(lamp.size() == truth.frames.size());
    REQUIRE(truth.presses.size() == 2);
    for (const footage::TruePress& press : truth.presses) {
        REQUIRE(press.lampFrame);
        REQUIRE(press.reactionFrame);
        // 20 frames are less than the shortest pause, so the search starts from rest.
        CHECK(firstAbove(lamp, *press.lampFrame - 20) == *press.lampFrame);
        CHECK(firstAbove(screen, *press.reactionFrame - 20) == *press.reactionFrame);
    }
}

TEST_CASE("the barcode survives every codec", "[footage]")
{
    struct Kind {
        const char *file, *codec, *pixels;
        double quality;
    };
    const auto kind = GENERATE(values<Kind>({{"a.mp4", "libx264", "yuv420p", 35},
                                             {"a.mkv", "libx264", "yuv444p", 23},
                                             {"a.mp4", "libx264", "yuv422p10le", 23},
                                             {"a.mkv", "libx265", "yuv420p10le", 35},
                                             {"a.mkv", "libx265", "gray", 28},
                                             {"a.mov", "prores_ks", "yuv422p10le", 0},
                                             {"a.avi", "mjpeg", "yuvj420p", 20},
                                             {"a.mkv", "ffv1", "yuv420p", 0},
                                             {"a.mkv", "ffv1", "gray16le", 0},
                                             {"a.avi", "rawvideo", "bgr24", 0},
                                             {"a.ts", "libx264", "yuv420p", 28},
                                             {"a.mp4", "mpeg4", "yuv420p", 0}}));
    CAPTURE(kind.codec, kind.pixels);
    const TempFolder folder;
    Spec spec = smallPattern();
    spec.storage.codec = kind.codec;
    spec.storage.pixelFormat = kind.pixels;
    spec.storage.quality = kind.quality;
    const auto truth = footage::make(spec, folder / kind.file);
    CHECK(barcodes(folder / kind.file) == expected(truth));
}

TEST_CASE("no number is read where there is no barcode", "[footage]")
{
    const TempFolder folder;
    Spec spec = smallPattern(60);
    spec.storage.barcode = false;
    footage::make(spec, folder / "a.mp4");
    // 6 check bits let a chance strip pass once in 64, and only where the first two cells are white and black.
    for (const int number : barcodes(folder / "a.mp4"))
        CHECK(number == -1);
}

TEST_CASE("every number up to the limit can be drawn and read", "[footage]")
{
    footage::Frame frame(64, 32);
    for (int number = 0; number < footage::barcodeLimit; number += 97) {
        footage::drawBarcode(frame, number);
        const auto* luma = reinterpret_cast<const std::uint8_t*>(frame.row(0, 0));
        REQUIRE(footage::readBarcode(luma, 128, 64, 32, 16) == number);
    }
}

TEST_CASE("leading frames hidden by an edit list are neither shown nor counted", "[footage]")
{
    const TempFolder folder;
    Spec spec = smallPattern();
    spec.storage.hiddenFrames = 7;
    const auto truth = footage::make(spec, folder / "a.mp4");
    CHECK(truth.frames.size() == 33);
    CHECK(truth.frames.front().pictureIndex == 7);
    CHECK(barcodes(folder / "a.mp4") == expected(truth));
}

TEST_CASE("a folder of pictures is numbered by capture index", "[footage]")
{
    const TempFolder folder;
    Spec spec = smallPattern(6);
    spec.storage.container = "png";
    spec.storage.codec = "png";
    spec.storage.pixelFormat = "gray16be";
    spec.camera.missing = {2, 3};
    const auto truth = footage::make(spec, folder / "pictures");
    CHECK(fs::exists(folder / "pictures/frame_000001.png"));
    CHECK_FALSE(fs::exists(folder / "pictures/frame_000002.png"));
    CHECK(barcodes(folder / "pictures/frame_000004.png") == std::vector{4});
    REQUIRE(truth.missing.size() == 1);
    CHECK(truth.missing[0].before == 2);
    CHECK(truth.missing[0].count == 2);
}

TEST_CASE("a spec that can't be met leaves no file", "[footage]")
{
    const TempFolder folder;
    Spec spec = smallPattern();
    spec.storage.codec = "no such codec";
    CHECK_THROWS_WITH(footage::make(spec, folder / "a.mp4"), Catch::Contains("no such codec"));
    spec.storage.codec = "prores_ks"; // takes no 4:2:0
    CHECK_THROWS(footage::make(spec, folder / "a.mov"));
    spec.storage = {};
    spec.storage.muxerOptions = {{"no_such_option", "1"}};
    CHECK_THROWS_WITH(footage::make(spec, folder / "a.mp4"), Catch::Contains("no_such_option"));
    CHECK(fs::is_empty(folder.path()));
}
