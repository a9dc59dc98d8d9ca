#include "tests/core/media/plain_decode.h"
#include "tests/footage/barcode.h"
#include <stdexcept>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/imgutils.h>
#include <libavutil/md5.h>
#include <libavutil/pixdesc.h>
}

namespace {

std::string md5Of(const AVFrame& frame)
{
    const auto format = static_cast<AVPixelFormat>(frame.format);
    std::vector<std::uint8_t> packed(
        static_cast<std::size_t>(av_image_get_buffer_size(format, frame.width, frame.height, 1)));
    av_image_copy_to_buffer(packed.data(), static_cast<int>(packed.size()), frame.data, frame.linesize, format,
                            frame.width, frame.height, 1);
    std::uint8_t sum[16];
    av_md5_sum(sum, packed.data(), packed.size());
    std::string text;
    for (const std::uint8_t byte : sum) {
        char hex[3];
        std::snprintf(hex, sizeof hex, "%02x", byte);
        text += hex;
    }
    return text;
}

std::optional<int> barcodeOf(const AVFrame& frame)
{
    const AVPixFmtDescriptor& kind = *av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    const AVComponentDescriptor& first = kind.comp[0];
    return footage::readBarcode(frame.data[first.plane] + first.offset, frame.linesize[first.plane], frame.width,
                                frame.height, first.depth, first.step, kind.flags & AV_PIX_FMT_FLAG_BE);
}

void receiveAll(AVCodecContext* decoder, AVFrame* frame, std::vector<PlainPicture>& pictures)
{
    for (int rc = 0; rc != AVERROR(EAGAIN) && rc != AVERROR_EOF;) {
        rc = avcodec_receive_frame(decoder, frame);
        if (rc == 0)
            pictures.push_back({md5Of(*frame), barcodeOf(*frame)});
    }
}

} // namespace

std::vector<PlainPicture> plainDecode(const std::filesystem::path& path, int stream)
{
    av_log_set_level(AV_LOG_QUIET);
    AVFormatContext* format = nullptr;
    if (avformat_open_input(&format, ("file:" + path.string()).c_str(), nullptr, nullptr) < 0
        || avformat_find_stream_info(format, nullptr) < 0)
        throw std::runtime_error("can't open " + path.string());
    const AVCodecParameters* parameters = format->streams[stream]->codecpar;
    const AVCodec* codec = avcodec_find_decoder(parameters->codec_id);
    AVCodecContext* decoder = avcodec_alloc_context3(codec);
    avcodec_parameters_to_context(decoder, parameters);
    decoder->thread_count = 1;
    if (avcodec_open2(decoder, codec, nullptr) < 0)
        throw std::runtime_error("can't decode " + path.string());

    std::vector<PlainPicture> pictures;
    AVPacket* packet = av_packet_alloc();
    AVFrame* frame = av_frame_alloc();
    // libdav1d's wrapper shows what an edit list hides; nothing else here needs the packet's flags.
    while (av_read_frame(format, packet) >= 0) {
        if (packet->stream_index == stream && packet->size > 0 && avcodec_send_packet(decoder, packet) >= 0)
            receiveAll(decoder, frame, pictures);
        av_packet_unref(packet);
    }
    avcodec_send_packet(decoder, nullptr);
    receiveAll(decoder, frame, pictures);

    av_frame_free(&frame);
    av_packet_free(&packet);
    avcodec_free_context(&decoder);
    avformat_close_input(&format);
    return pictures;
}

PlainPicture plainPicture(const std::filesystem::path& path) { return plainDecode(path, 0).at(0); }
