#include "core/media/picture/picture.h"
#include "core/media/libav/av_handles.h"
#include "core/media/picture/picture_hash.h"
#include <array>
#include <cassert>

extern "C" {
#include <libavutil/md5.h>
}

namespace media {

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

bool Picture::damaged() const
{
    return m_frame && (m_frame->decode_error_flags != 0 || (m_frame->flags & AV_FRAME_FLAG_CORRUPT));
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
    std::array<std::uint8_t, 16> sum{};
    av_md5_sum(sum.data(), packed.data(), packed.size());

    std::string hex;
    for (const std::uint8_t byte : sum) {
        constexpr char digits[] = "0123456789abcdef";
        hex += digits[byte >> 4];
        hex += digits[byte & 15];
    }
    return hex;
}

std::uint64_t Picture::hash() const
{
    assert(m_frame);
    return hashOf(*m_frame);
}

} // namespace media
