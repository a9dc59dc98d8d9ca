#include "tests/footage/sequential_decode.h"
#include "tests/footage/barcode.h"

namespace footage {
namespace {

void receive(AVCodecContext& context, AVFrame& frame, const std::function<void(const AVFrame&)>& visit)
{
    for (;;) {
        const int code = avcodec_receive_frame(&context, &frame);
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
            return;
        check(code, "decode");
        visit(frame);
        av_frame_unref(&frame);
    }
}

} // namespace

void decodeFile(const std::filesystem::path& path, const std::function<void(const AVFrame&)>& visit, int wanted)
{
    AVFormatContext* opened = nullptr;
    check(avformat_open_input(&opened, path.c_str(), nullptr, nullptr), "open " + path.string());
    const InputPtr input(opened);
    check(avformat_find_stream_info(input.get(), nullptr), "read " + path.string());
    const int stream =
        check(av_find_best_stream(input.get(), AVMEDIA_TYPE_VIDEO, wanted, -1, nullptr, 0), "find pictures");
    const AVCodecParameters& parameters = *input->streams[stream]->codecpar;
    const CodecPtr context(avcodec_alloc_context3(avcodec_find_decoder(parameters.codec_id)));
    check(avcodec_parameters_to_context(context.get(), &parameters), "set up the decoder");
    context->thread_count = 1;
    check(avcodec_open2(context.get(), nullptr, nullptr), "open the decoder");

    const FramePtr frame(av_frame_alloc());
    const PacketPtr packet(av_packet_alloc());
    while (av_read_frame(input.get(), packet.get()) >= 0) {
        // A damaged packet is refused here; the pictures that do come out still count.
        if (packet->stream_index == stream && avcodec_send_packet(context.get(), packet.get()) >= 0)
            receive(*context, *frame, visit);
        av_packet_unref(packet.get());
    }
    avcodec_send_packet(context.get(), nullptr);
    receive(*context, *frame, visit);
}

std::optional<int> barcodeOf(const AVFrame& frame)
{
    const AVPixFmtDescriptor& format = *av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    const AVComponentDescriptor& first = format.comp[0];
    return readBarcode(frame.data[first.plane] + first.offset, frame.linesize[first.plane], frame.width, frame.height,
                       first.depth, first.step, format.flags & AV_PIX_FMT_FLAG_BE);
}

double regionMean(const AVFrame& frame, const Rect& region)
{
    const AVPixFmtDescriptor& format = *av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    const AVComponentDescriptor& first = format.comp[0];
    double sum = 0;
    for (int y = region.y; y < region.y + region.height; ++y)
        for (int x = region.x; x < region.x + region.width; ++x) {
            const std::uint8_t* at = frame.data[first.plane]
                                     + static_cast<std::ptrdiff_t>(y) * frame.linesize[first.plane] + x * first.step
                                     + first.offset;
            sum += first.depth <= 8 ? at[0] : at[0] + 256 * at[1];
        }
    return sum / (region.width * region.height) / ((1 << first.depth) - 1);
}

} // namespace footage
