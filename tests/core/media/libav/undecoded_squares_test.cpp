#include "core/media/libav/undecoded_squares.h"
#include "core/media/decode/frame_reader.h"
#include "tests/core/media/films.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

namespace {

media::FramePtr prefilledFrame(AVPixelFormat format, media::Size size)
{
    media::FramePtr frame = media::newFrame();
    frame->format = format;
    frame->width = size.width;
    frame->height = size.height;
    REQUIRE(av_frame_get_buffer(frame.get(), 0) == 0);
    media::prefillSquares(*frame);
    return frame;
}

/// Paints pixels of the first plane but those of the square of 16 at (column, row).
void paintAllBut(AVFrame& frame, int column, int row)
{
    const int step = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format))->comp[0].step;
    for (int y = 0; y < frame.height; ++y)
        for (int x = 0; x < frame.width; ++x)
            if (x / 16 != column || y / 16 != row)
                std::fill_n(frame.data[0] + y * frame.linesize[0] + x * step, step, std::uint8_t{0});
}

/// Where the coded pictures of a bare HEVC stream begin that begin no group: behind their start codes.
std::vector<std::size_t> laterPictures(const std::string& bytes)
{
    std::vector<std::size_t> places;
    for (std::size_t at = bytes.find(std::string("\0\0\1", 3)); at != std::string::npos;
         at = bytes.find(std::string("\0\0\1", 3), at + 3))
        if (const int type = bytes[at + 3] >> 1 & 63;
            type < 16) // H.265, table 7-1: slices of pictures that refer to others
            places.push_back(at + 3);
    return places;
}

} // namespace

TEST_CASE("one square that wasn't decoded is found, and a picture that is all there isn't doubted",
          "[media][undecoded]")
{
    const auto format = GENERATE(AV_PIX_FMT_YUV420P, AV_PIX_FMT_YUV422P10LE, AV_PIX_FMT_GRAY16BE, AV_PIX_FMT_NV12,
                                 AV_PIX_FMT_RGB24, AV_PIX_FMT_YUYV422, AV_PIX_FMT_RGBA64LE);
    CAPTURE(av_get_pix_fmt_name(format));
    constexpr media::Size size{100, 70}; // the last squares are cut: 4 and 6 pixels are left of them
    for (int row = 0; row <= size.height / 16; ++row)
        for (int column = 0; column < size.width / 16; ++column) {
            const media::FramePtr frame = prefilledFrame(format, size);
            REQUIRE_FALSE(media::allSquaresDecoded(*frame));
            paintAllBut(*frame, column, row);
            CHECK_FALSE(media::allSquaresDecoded(*frame));
        }
    const media::FramePtr frame = prefilledFrame(format, size);
    paintAllBut(*frame, -1, -1);
    CHECK(media::allSquaresDecoded(*frame));
}

TEST_CASE("the filling keeps within the range of samples", "[media][undecoded]")
{
    const media::FramePtr frame = prefilledFrame(AV_PIX_FMT_YUV420P10LE, {64, 64});
    const auto* samples = reinterpret_cast<const std::uint16_t*>(frame->data[0] + 4 * frame->linesize[0]);
    for (int x = 4; x < 12; ++x)
        CHECK(samples[x] < 1024);
}

TEST_CASE("what cropping hides doesn't count, and what it shows is found", "[media][undecoded]")
{
    media::FramePtr frame = prefilledFrame(AV_PIX_FMT_YUV420P, {128, 128});
    frame->crop_left = 32;
    frame->crop_top = 30;
    frame->crop_right = 6;
    frame->crop_bottom = 9;
    SECTION("a square that is shown")
    {
        paintAllBut(*frame, 4, 5);
        REQUIRE(av_frame_apply_cropping(frame.get(), AV_FRAME_CROP_UNALIGNED) == 0);
        CHECK_FALSE(media::allSquaresDecoded(*frame));
    }
    SECTION("one that isn't")
    {
        paintAllBut(*frame, 1, 1);
        REQUIRE(av_frame_apply_cropping(frame.get(), AV_FRAME_CROP_UNALIGNED) == 0);
        CHECK(media::allSquaresDecoded(*frame));
    }
}

TEST_CASE("a picture whose coded data ends early is doubted, and comes out the same each time",
          "[media][undecoded][damage]")
{
    footage::Spec spec = smallSpec();
    spec.storage.codec = "libx265";
    const auto whole = media::openFootage(film("ends_early.hevc", spec));
    REQUIRE(whole->doubts.empty());
    REQUIRE_FALSE(whole->fault);
    std::set<std::uint64_t> right;
    for (const media::FrameEntry& frame : whole->frames)
        right.insert(frame.hash);
    const std::string bytes = readBytes(whole->path);
    const std::vector<std::size_t> pictures = laterPictures(bytes);
    REQUIRE(pictures.size() > 40);
    const TempFolder folder;
    const std::filesystem::path path = folder / "ends_early.hevc";
    int silent = 0;
    for (std::size_t i = 0; i + 1 < pictures.size(); i += 4) {
        CAPTURE(i);
        // Ones make the arithmetic code say that a slice ends (H.265, 9.3.4.3.5); what is read before may make sense or
        // not.
        const auto begin = static_cast<std::ptrdiff_t>(pictures[i] + (pictures[i + 1] - pictures[i]) / 8);
        const auto end = static_cast<std::ptrdiff_t>(pictures[i + 1]) - 3;
        std::string damaged = bytes;
        std::fill(damaged.begin() + begin, damaged.begin() + end, '\xff');
        writeBytes(path, damaged);

        const auto opened = media::openFootage(path);
        CHECK((opened->frames.size() == whole->frames.size() || opened->fault));
        CHECK(opened->doubts.empty() == !opened->fault.has_value());
        silent += opened->fault && opened->fault->find("ends before the picture does") != std::string::npos;
        for (std::size_t n = 0; n < opened->frames.size(); ++n) {
            const bool doubtful =
                std::any_of(opened->doubts.begin(), opened->doubts.end(), [&](const media::Doubt& doubt) {
                    return doubt.first.value <= static_cast<std::int64_t>(n)
                           && static_cast<std::int64_t>(n) <= doubt.last.value;
                });
            CHECK((doubtful || right.contains(opened->frames[n].hash)));
        }
        const auto again = media::openFootage(path);
        media::FrameReader reader(again);
        for (std::int64_t n = opened->frameCount().value - 1; n >= 0; --n) {
            CHECK(again->frames[n].hash == opened->frames[n].hash);
            CHECK(reader.read({n}).hash() == opened->frames[n].hash);
        }
    }
    CHECK(silent > 0); // else the decoder had something to say each time, and this shows nothing
}
