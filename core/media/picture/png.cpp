#include "core/media/libav/av_handles.h"
#include "core/media/libav/av_setup.h"
#include "core/media/picture/rendition.h"
#include <cassert>
#include <cstring>

namespace media {

std::vector<std::uint8_t> encodePng(const RgbImage& image)
{
    assert(image.width > 0 && image.height > 0
           && image.pixels.size() == std::size_t{3} * std::size_t(image.width) * std::size_t(image.height));
    setUpLibav();
    const std::string doing = "The picture can't be coded as PNG";
    const AVCodec* codec = avcodec_find_encoder(AV_CODEC_ID_PNG);
    if (!codec)
        throw core::Error(core::ErrorKind::Unsupported, doing + ": this libavcodec has no PNG encoder.");
    const CodecPtr encoder = allocated(CodecPtr(avcodec_alloc_context3(codec)), "an encoder");
    encoder->width = image.width;
    encoder->height = image.height;
    encoder->pix_fmt = AV_PIX_FMT_RGB24;
    encoder->time_base = {1, 1};
    encoder->thread_count = 1;
    Options options;
    options.set("pred", "mixed");
    check(avcodec_open2(encoder.get(), codec, options.get()), doing);

    const FramePtr frame = newFrame();
    frame->width = image.width;
    frame->height = image.height;
    frame->format = AV_PIX_FMT_RGB24;
    check(av_frame_get_buffer(frame.get(), 0), doing);
    const std::size_t rowBytes = std::size_t{3} * static_cast<std::size_t>(image.width);
    for (int y = 0; y < image.height; ++y)
        std::memcpy(frame->data[0] + std::ptrdiff_t{frame->linesize[0]} * y,
                    image.pixels.data() + rowBytes * static_cast<std::size_t>(y), rowBytes);
    check(avcodec_send_frame(encoder.get(), frame.get()), doing);
    check(avcodec_send_frame(encoder.get(), nullptr), doing);
    const PacketPtr packet = newPacket();
    check(avcodec_receive_packet(encoder.get(), packet.get()), doing);
    return {packet->data, packet->data + packet->size};
}

} // namespace media
