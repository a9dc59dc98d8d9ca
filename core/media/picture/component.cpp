#include "core/media/picture/component.h"
#include "core/media/picture/sample_rows.h"

namespace media {

void Component::read(std::vector<std::uint16_t>& row, int y) const
{
    row.resize(static_cast<std::size_t>(width));
    readSamples(row.data(), *frame, *format, index, 0, y, width);
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

} // namespace media
