#include "core/media/picture/picture.h"
#include "core/media/libav/av_handles.h"
#include "core/media/picture/byte_hash.h"
#include <QByteArray>
#include <algorithm>
#include <array>
#include <cassert>

extern "C" {
#include <libavutil/md5.h>
}

namespace media {

Rect clipped(const Rect& rect, Size picture)
{
    const std::int64_t left = std::max(rect.x, 0), top = std::max(rect.y, 0);
    const std::int64_t right = std::min<std::int64_t>(std::int64_t{rect.x} + rect.width, picture.width);
    const std::int64_t bottom = std::min<std::int64_t>(std::int64_t{rect.y} + rect.height, picture.height);
    if (left >= right || top >= bottom)
        return {};
    return {static_cast<int>(left), static_cast<int>(top), static_cast<int>(right - left),
            static_cast<int>(bottom - top)};
}

Picture::Picture(std::shared_ptr<const AVFrame> frame) : m_frame(std::move(frame)) {}

Size Picture::size() const { return m_frame ? Size{m_frame->width, m_frame->height} : Size{}; }

std::string Picture::pixelFormat() const
{
    const char* name = m_frame ? av_get_pix_fmt_name(static_cast<AVPixelFormat>(m_frame->format)) : nullptr;
    return name ? name : "";
}

std::size_t Picture::bytes() const
{
    std::size_t sum = 0;
    if (m_frame)
        for (const AVBufferRef* buffer : m_frame->buf)
            sum += buffer ? buffer->size : 0;
    return sum;
}

std::string Picture::md5() const
{
    assert(m_frame);
    const auto format = static_cast<AVPixelFormat>(m_frame->format);
    const std::string doing = "The picture's checksum can't be made";
    const int size = check(av_image_get_buffer_size(format, m_frame->width, m_frame->height, 1), doing);
    std::vector<std::uint8_t> packed(static_cast<std::size_t>(size));
    check(av_image_copy_to_buffer(packed.data(), size, m_frame->data, m_frame->linesize, format, m_frame->width,
                                  m_frame->height, 1),
          doing);
    std::array<char, 16> sum{};
    av_md5_sum(reinterpret_cast<std::uint8_t*>(sum.data()), packed.data(), packed.size());
    return QByteArray(sum.data(), std::ssize(sum)).toHex().toStdString();
}

std::uint64_t Picture::hash() const
{
    assert(m_frame);
    return hashOf(*m_frame);
}

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
