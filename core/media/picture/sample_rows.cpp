#include "core/media/picture/sample_rows.h"
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

} // namespace media
