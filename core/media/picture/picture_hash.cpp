#include "core/media/picture/picture_hash.h"
#include "core/media/libav/av_handles.h"
#include "core/media/picture/byte_hash.h"

namespace media {

std::uint64_t hashOf(const AVFrame& frame)
{
    const auto format = static_cast<AVPixelFormat>(frame.format);
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    ByteHash hash;
    // The name, not the number: libav renumbers its formats between versions.
    if (const char* name = av_get_pix_fmt_name(format))
        hash.add(name, std::strlen(name));
    hash.add(static_cast<std::uint64_t>(frame.width));
    hash.add(static_cast<std::uint64_t>(frame.height));
    for (int plane = 0; plane < av_pix_fmt_count_planes(format); ++plane) {
        const int rowBytes = av_image_get_linesize(format, frame.width, plane);
        const bool chroma = plane == 1 || plane == 2;
        const int rows = chroma ? AV_CEIL_RSHIFT(frame.height, kind->log2_chroma_h) : frame.height;
        const std::uint8_t* row = frame.data[plane];
        for (int y = 0; rowBytes > 0 && y < rows; ++y, row += frame.linesize[plane])
            hash.add(row, static_cast<std::size_t>(rowBytes));
    }
    if (kind && (kind->flags & AV_PIX_FMT_FLAG_PAL) && frame.data[1])
        hash.add(frame.data[1], AVPALETTE_SIZE);
    return hash.result();
}

} // namespace media
