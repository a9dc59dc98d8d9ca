#include "core/media/picture/component.h"
#include "core/media/picture/picture.h"
#include <algorithm>
#include <bit>
#include <cstddef>
#include <cstring>

namespace media {
namespace {

/// Shifts and masks take one instruction for many samples; what is slow is an unknown step, and a question for each
/// sample.
template <int step> void readBytes(std::uint16_t* row, const std::uint8_t* from, int count, int shift, int mask)
{
    for (int i = 0; i < count; ++i)
        row[i] = static_cast<std::uint16_t>(from[std::ptrdiff_t{step} * i] >> shift & mask);
}

template <int step, bool swapped>
void readWords(std::uint16_t* row, const std::uint8_t* from, int count, int shift, int mask)
{
    for (int i = 0; i < count; ++i) {
        std::uint16_t word;
        std::memcpy(&word, from + std::ptrdiff_t{step} * i, sizeof word);
        if constexpr (swapped)
            word = static_cast<std::uint16_t>(word << 8 | word >> 8);
        row[i] = static_cast<std::uint16_t>(word >> shift & mask);
    }
}

using Reading = void (*)(std::uint16_t*, const std::uint8_t*, int, int, int);

Reading readingOfBytes(int step)
{
    switch (step) {
    case 1: return readBytes<1>;
    case 2: return readBytes<2>;
    case 3: return readBytes<3>;
    case 4: return readBytes<4>;
    default: return nullptr;
    }
}

template <bool swapped> Reading readingOfWords(int step)
{
    switch (step) {
    case 2: return readWords<2, swapped>;
    case 4: return readWords<4, swapped>;
    case 6: return readWords<6, swapped>;
    case 8: return readWords<8, swapped>;
    default: return nullptr;
    }
}

} // namespace

void readSamples(std::uint16_t* row, const AVFrame& frame, const AVPixFmtDescriptor& format, int component, int x,
                 int y, int count)
{
    const AVComponentDescriptor& c = format.comp[component];
    const bool bigEndian = format.flags & AV_PIX_FMT_FLAG_BE, unusual = format.flags & AV_PIX_FMT_FLAG_BITSTREAM;
    const bool byte = c.shift + c.depth <= 8, word = !byte && c.shift + c.depth <= 16;
    const bool swapped = bigEndian != (std::endian::native == std::endian::big);
    Reading reading = nullptr;
    if (!unusual && byte)
        reading = readingOfBytes(c.step);
    else if (!unusual && word)
        reading = swapped ? readingOfWords<true>(c.step) : readingOfWords<false>(c.step);
    if (!reading) {
        const std::uint8_t* planes[4] = {frame.data[0], frame.data[1], frame.data[2], frame.data[3]};
        av_read_image_line(row, planes, frame.linesize, &format, x, y, component, count, 0);
        return;
    }
    const std::uint8_t* from =
        frame.data[c.plane] + std::ptrdiff_t{frame.linesize[c.plane]} * y + std::ptrdiff_t{c.step} * x + c.offset;
    // A component that fits into the low byte of a big-endian word: libav describes it so.
    reading(row, from + (byte && bigEndian ? 1 : 0), count, c.shift, (1 << c.depth) - 1);
}

void Component::read(std::vector<std::uint16_t>& row, int y) const
{
    row.resize(width);
    readSamples(row.data(), *frame, *format, index, 0, y, width);
}

const std::uint8_t* Component::bytes(int y) const
{
    const AVComponentDescriptor& c = format->comp[index];
    if (c.step != 1 || c.shift != 0 || c.depth != 8)
        return nullptr;
    return frame->data[c.plane] + std::ptrdiff_t{frame->linesize[c.plane]} * y + c.offset;
}

const AVPixFmtDescriptor* readableFormat(const AVFrame& frame)
{
    const AVPixFmtDescriptor* format = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    constexpr std::uint64_t unread =
        AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_FLOAT | AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_BITSTREAM;
    return !format || (format->flags & unread) ? nullptr : format;
}

Component componentOf(const AVFrame& frame, const AVPixFmtDescriptor& format, int index)
{
    const bool rgb = format.flags & AV_PIX_FMT_FLAG_RGB, colour = !rgb && index > 0;
    const int depth = format.comp[index].depth;
    const bool full = rgb || format.nb_components < 3 || frame.color_range == AVCOL_RANGE_JPEG;
    Component c{&frame, &format, index};
    c.shiftX = colour ? format.log2_chroma_w : 0;
    c.shiftY = colour ? format.log2_chroma_h : 0;
    c.width = AV_CEIL_RSHIFT(frame.width, c.shiftX);
    c.height = AV_CEIL_RSHIFT(frame.height, c.shiftY);
    // Brightness goes up and down by a factor, and that needs black at 0 (limited range: ITU-R BT.709-6, item 4.6).
    c.black = full || colour ? 0 : 16 << (depth - 8);
    c.scale = full ? 255.0 / ((1 << depth) - 1) : 255.0 / ((colour ? 224 : 219) << (depth - 8));
    return c;
}

std::optional<PixelValue> pixelAt(const Picture& picture, int x, int y)
{
    const Size size = picture ? picture.size() : Size{};
    if (x < 0 || y < 0 || x >= size.width || y >= size.height)
        return {};
    const AVPixFmtDescriptor* format = readableFormat(picture.native());
    if (!format)
        return {};
    PixelValue value;
    value.rgb = format->flags & AV_PIX_FMT_FLAG_RGB;
    value.depth = format->comp[0].depth;
    for (int index = 0; index < (format->nb_components >= 3 ? 3 : 1); ++index) {
        const Component c = componentOf(picture.native(), *format, index);
        std::uint16_t code = 0;
        readSamples(&code, picture.native(), *format, index, std::min(x >> c.shiftX, c.width - 1),
                    std::min(y >> c.shiftY, c.height - 1), 1);
        value.codes.push_back(code);
    }
    return value;
}

} // namespace media
