#include "tests/core/media/frames.h"
#include <cstring>
#include <stdexcept>

media::Picture drawnPicture(AVPixelFormat format, media::Size size, const std::function<int(int, int, int)>& code,
                            const std::function<void(AVFrame&)>& tag)
{
    AVFrame* frame = av_frame_alloc();
    frame->format = format;
    frame->width = size.width;
    frame->height = size.height;
    if (av_frame_get_buffer(frame, 0) < 0)
        throw std::runtime_error("no memory for a test picture");
    for (const AVBufferRef* buffer : frame->buf)
        if (buffer)
            std::memset(buffer->data, 0, buffer->size); // samples are or-ed into their place
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    for (int c = 0; c < kind->nb_components; ++c) {
        const bool chroma = (c == 1 || c == 2) && !(kind->flags & AV_PIX_FMT_FLAG_RGB);
        const int width = chroma ? AV_CEIL_RSHIFT(size.width, kind->log2_chroma_w) : size.width;
        const int height = chroma ? AV_CEIL_RSHIFT(size.height, kind->log2_chroma_h) : size.height;
        std::vector<std::uint16_t> row(static_cast<std::size_t>(width));
        for (int y = 0; y < height; ++y) {
            for (int x = 0; x < width; ++x)
                row[x] = static_cast<std::uint16_t>(code(c, x, y));
            av_write_image_line(row.data(), frame->data, frame->linesize, kind, 0, y, c, width);
        }
    }
    if (tag)
        tag(*frame);
    return media::Picture(std::shared_ptr<const AVFrame>(frame, [](const AVFrame* f) {
        AVFrame* owned = const_cast<AVFrame*>(f);
        av_frame_free(&owned);
    }));
}
