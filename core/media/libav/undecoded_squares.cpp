#include "core/media/libav/undecoded_squares.h"
#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>

namespace media {
namespace {

constexpr std::size_t side = 16; // pixels of a square
constexpr std::size_t row =
    4; // of the square: filters of the neighbours above and to the left reach three pixels into it
constexpr std::size_t column = 4;
constexpr std::size_t length = 8;   // pixels: of one byte, 64 bits that no picture shows by chance
constexpr std::size_t mostStep = 8; // bytes a pixel

/// What a square of the first plane of a format is filled with beforehand; no length where nothing is.
struct Filling {
    std::array<std::uint8_t, length * mostStep> bytes{};
    std::size_t step = 0; ///< bytes from pixel to pixel
};

Filling fillingFor(int format)
{
    Filling filling;
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(format));
    const std::uint64_t unusual = AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_BITSTREAM | AV_PIX_FMT_FLAG_FLOAT;
    if (!kind || (kind->flags & unusual) || kind->comp[0].step < 1 || kind->comp[0].step > static_cast<int>(mostStep))
        return filling;
    filling.step = static_cast<std::size_t>(kind->comp[0].step);
    // Codes above a sample's range would lead decoders that build on it out of their tables.
    const bool words = kind->comp[0].depth > 8;
    const std::size_t zero = kind->flags & AV_PIX_FMT_FLAG_BE ? 0 : 1;
    std::uint32_t random = 2463534242; // xorshift
    for (std::size_t i = 0; i < filling.bytes.size(); ++i) {
        random ^= random << 13;
        random ^= random >> 17;
        random ^= random << 5;
        filling.bytes[i] = words && i % 2 == zero ? 0 : static_cast<std::uint8_t>(random >> 24);
    }
    return filling;
}

/// Calls `visit` with the place of each filling in the part of the plane that the frame shows, until it returns true.
template <class Visit> bool anySquare(const AVFrame& frame, const Filling& filling, const Visit& visit)
{
    if (filling.step == 0 || !frame.buf[0] || frame.linesize[0] <= 0)
        return false;
    // Squares count from where the memory begins; cropping moves the picture in it.
    const auto moved = static_cast<std::size_t>(frame.data[0] - frame.buf[0]->data),
               line = static_cast<std::size_t>(frame.linesize[0]);
    const std::size_t top = moved / line, left = moved % line / filling.step;
    const auto width = static_cast<std::size_t>(frame.width), height = static_cast<std::size_t>(frame.height);
    for (std::size_t y = (side + row - top % side) % side; y < height; y += side)
        for (std::size_t x = (side + column - left % side) % side; x + length <= width; x += side)
            if (visit(frame.data[0] + y * line + x * filling.step))
                return true;
    return false;
}

} // namespace

void prefillSquares(AVFrame& frame)
{
    const Filling filling = fillingFor(frame.format);
    anySquare(frame, filling, [&](std::uint8_t* place) {
        std::memcpy(place, filling.bytes.data(), length * filling.step);
        return false;
    });
}

bool allSquaresDecoded(const AVFrame& frame)
{
    const Filling filling = fillingFor(frame.format);
    return !anySquare(frame, filling, [&](const std::uint8_t* place) {
        return std::memcmp(place, filling.bytes.data(), length * filling.step) == 0;
    });
}

} // namespace media
