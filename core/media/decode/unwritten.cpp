#include "core/media/decode/unwritten.h"
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

/// The mark in the first plane of a format; no length where none is made.
struct Mark {
    std::array<std::uint8_t, length * mostStep> bytes{};
    std::size_t step = 0; ///< bytes from pixel to pixel
};

Mark markFor(int format)
{
    Mark mark;
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(format));
    const std::uint64_t unusual = AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_BITSTREAM | AV_PIX_FMT_FLAG_FLOAT;
    if (!kind || (kind->flags & unusual) || kind->comp[0].step < 1 || kind->comp[0].step > static_cast<int>(mostStep))
        return mark;
    mark.step = static_cast<std::size_t>(kind->comp[0].step);
    // Codes above a sample's range would lead decoders that build on it out of their tables.
    const bool words = kind->comp[0].depth > 8;
    const std::size_t zero = kind->flags & AV_PIX_FMT_FLAG_BE ? 0 : 1;
    std::uint32_t random = 2463534242; // xorshift
    for (std::size_t i = 0; i < mark.bytes.size(); ++i) {
        random ^= random << 13;
        random ^= random >> 17;
        random ^= random << 5;
        mark.bytes[i] = words && i % 2 == zero ? 0 : static_cast<std::uint8_t>(random >> 24);
    }
    return mark;
}

/// Calls `visit` with the place of each mark in the part of the plane that the frame shows, until it returns true.
template <class Visit> bool anyMark(const AVFrame& frame, const Mark& mark, const Visit& visit)
{
    if (mark.step == 0 || !frame.buf[0] || frame.linesize[0] <= 0)
        return false;
    // Squares count from where the memory begins; cropping moves the picture in it.
    const auto moved = static_cast<std::size_t>(frame.data[0] - frame.buf[0]->data),
               line = static_cast<std::size_t>(frame.linesize[0]);
    const std::size_t top = moved / line, left = moved % line / mark.step;
    const auto width = static_cast<std::size_t>(frame.width), height = static_cast<std::size_t>(frame.height);
    for (std::size_t y = (side + row - top % side) % side; y < height; y += side)
        for (std::size_t x = (side + column - left % side) % side; x + length <= width; x += side)
            if (visit(frame.data[0] + y * line + x * mark.step))
                return true;
    return false;
}

} // namespace

void markUnwritten(AVFrame& frame)
{
    const Mark mark = markFor(frame.format);
    anyMark(frame, mark, [&](std::uint8_t* place) {
        std::memcpy(place, mark.bytes.data(), length * mark.step);
        return false;
    });
}

bool isWritten(const AVFrame& frame)
{
    const Mark mark = markFor(frame.format);
    return !anyMark(frame, mark, [&](const std::uint8_t* place) {
        return std::memcmp(place, mark.bytes.data(), length * mark.step) == 0;
    });
}

} // namespace media
