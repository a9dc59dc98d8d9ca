#include "tests/bench/bare_libav.h"

#include <algorithm>
#include <cstdlib>
#include <functional>
#include <stdexcept>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/opt.h>
#include <libswscale/swscale.h>
}

namespace bare {

namespace {

[[noreturn]] void fail(const std::filesystem::path& path)
{
    throw std::runtime_error("the bare program can't read " + path.string());
}

struct Demuxer {
    explicit Demuxer(const std::filesystem::path& path)
    {
        if (avformat_open_input(&format, path.c_str(), nullptr, nullptr) < 0
            || avformat_find_stream_info(format, nullptr) < 0)
            fail(path);
        stream = av_find_best_stream(format, AVMEDIA_TYPE_VIDEO, -1, -1, nullptr, 0);
        if (stream < 0)
            fail(path);
    }
    ~Demuxer()
    {
        av_packet_free(&packet);
        avformat_close_input(&format);
    }
    Demuxer(const Demuxer&) = delete;
    Demuxer& operator=(const Demuxer&) = delete;

    /// Next packet of the stream into `packet`; false at the end.
    bool read()
    {
        av_packet_unref(packet);
        while (av_read_frame(format, packet) >= 0) {
            if (packet->stream_index == stream)
                return true;
            av_packet_unref(packet);
        }
        return false;
    }

    AVFormatContext* format = nullptr;
    AVPacket* packet = av_packet_alloc();
    int stream = -1;
};

struct Decoder {
    Decoder(const AVCodecParameters& parameters, int threads)
    {
        const AVCodec* codec = avcodec_find_decoder(parameters.codec_id);
        context = avcodec_alloc_context3(codec);
        avcodec_parameters_to_context(context, &parameters);
        context->thread_count = threads;
        if (!codec || avcodec_open2(context, codec, nullptr) < 0)
            throw std::runtime_error("the bare program has no decoder");
    }
    ~Decoder()
    {
        av_frame_free(&frame);
        avcodec_free_context(&context);
    }
    Decoder(const Decoder&) = delete;
    Decoder& operator=(const Decoder&) = delete;

    /// Null at the end. Calls `picture` for each that comes out; false as soon as that says so.
    bool send(const AVPacket* packet, const std::function<bool(const AVFrame&)>& picture)
    {
        if (avcodec_send_packet(context, packet) < 0)
            throw std::runtime_error("the bare program can't decode");
        while (avcodec_receive_frame(context, frame) >= 0)
            if (!picture(*frame))
                return false;
        return true;
    }

    AVCodecContext* context = nullptr;
    AVFrame* frame = av_frame_alloc();
};

} // namespace

std::int64_t scanPackets(const std::filesystem::path& path)
{
    Demuxer file(path);
    std::int64_t packets = 0;
    while (file.read())
        ++packets;
    return packets;
}

std::int64_t decode(const std::filesystem::path& path, int threads)
{
    Demuxer file(path);
    Decoder decoder(*file.format->streams[file.stream]->codecpar, threads);
    std::int64_t pictures = 0;
    const auto count = [&](const AVFrame&) {
        ++pictures;
        return true;
    };
    while (file.read())
        decoder.send(file.packet, count);
    decoder.send(nullptr, count);
    return pictures;
}

struct Jumper::Open {
    Open(const std::filesystem::path& path, int threads)
        : file(path), decoder(*file.format->streams[file.stream]->codecpar, threads)
    {}
    Demuxer file;
    Decoder decoder;
};

Jumper::Jumper(const std::filesystem::path& path, int threads) : m_open(new Open(path, threads))
{
    while (m_open->file.read()) {
        const AVPacket& packet = *m_open->file.packet;
        m_times.push_back(packet.pts);
        if (packet.flags & AV_PKT_FLAG_KEY)
            m_keys.push_back(packet.pts);
    }
    std::sort(m_times.begin(), m_times.end());
    std::sort(m_keys.begin(), m_keys.end());
}

Jumper::~Jumper() { delete m_open; }

void Jumper::jump(std::int64_t frame)
{
    const std::int64_t wanted = m_times.at(static_cast<std::size_t>(frame));
    const std::int64_t key = *(std::upper_bound(m_keys.begin(), m_keys.end(), wanted) - 1);
    auto& [file, decoder] = *m_open;
    if (av_seek_frame(file.format, file.stream, key, AVSEEK_FLAG_BACKWARD) < 0)
        throw std::runtime_error("the bare program can't seek");
    avcodec_flush_buffers(decoder.context);
    const auto before = [&](const AVFrame& picture) { return picture.pts != wanted; };
    while (file.read())
        if (!decoder.send(file.packet, before))
            return;
    if (decoder.send(nullptr, before))
        throw std::runtime_error("the bare program jumped and didn't find the frame");
}

void encode(const std::filesystem::path& path, bool h264, int rate, int width, int height, int pictures,
            const std::function<const std::uint8_t*(int)>& picture)
{
    const auto made = [&](bool fine) {
        if (!fine)
            throw std::runtime_error("the bare program can't write " + path.string());
    };
    AVFormatContext* format = nullptr;
    made(avformat_alloc_output_context2(&format, nullptr, nullptr, path.c_str()) >= 0);
    const AVCodec* codec = avcodec_find_encoder_by_name(h264 ? "libx264" : "prores_ks");
    made(codec != nullptr);
    AVCodecContext* context = avcodec_alloc_context3(codec);
    context->width = width;
    context->height = height;
    context->framerate = {rate, 1};
    context->time_base = {1, rate};
    context->pix_fmt = h264 ? AV_PIX_FMT_YUV420P : AV_PIX_FMT_YUVA444P10LE;
    context->thread_count = 4;
    context->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    AVDictionary* options = nullptr;
    if (h264) {
        av_dict_set(&options, "preset", "medium", 0);
        av_dict_set(&options, "crf", "15", 0);
    } else {
        av_dict_set(&options, "profile", "4444", 0);
        av_dict_set(&options, "alpha_bits", "16", 0);
    }
    made(avcodec_open2(context, codec, &options) >= 0);
    av_dict_free(&options);
    AVStream* stream = avformat_new_stream(format, nullptr);
    avcodec_parameters_from_context(stream->codecpar, context);
    made(avio_open(&format->pb, path.c_str(), AVIO_FLAG_WRITE) >= 0 && avformat_write_header(format, nullptr) >= 0);
    SwsContext* scaler = sws_getContext(width, height, AV_PIX_FMT_BGRA, width, height, context->pix_fmt, SWS_BICUBIC,
                                        nullptr, nullptr, nullptr);
    AVFrame* frame = av_frame_alloc();
    frame->format = context->pix_fmt;
    frame->width = width;
    frame->height = height;
    made(av_frame_get_buffer(frame, 0) >= 0);
    AVPacket* packet = av_packet_alloc();
    for (int i = 0; i <= pictures; ++i) {
        if (i < pictures) {
            made(av_frame_make_writable(frame) >= 0);
            const std::uint8_t* source[] = {picture(i)};
            const int stride[] = {4 * width};
            sws_scale(scaler, source, stride, 0, height, frame->data, frame->linesize);
            frame->pts = i;
        }
        made(avcodec_send_frame(context, i < pictures ? frame : nullptr) >= 0);
        while (avcodec_receive_packet(context, packet) >= 0) {
            av_packet_rescale_ts(packet, context->time_base, stream->time_base);
            made(av_interleaved_write_frame(format, packet) >= 0);
        }
    }
    made(av_write_trailer(format) >= 0);
    av_packet_free(&packet);
    av_frame_free(&frame);
    sws_freeContext(scaler);
    avcodec_free_context(&context);
    avio_closep(&format->pb);
    avformat_free_context(format);
}

void encodePng(int width, int height, const std::uint8_t* picture)
{
    const auto made = [](bool fine) {
        if (!fine)
            throw std::runtime_error("the bare program can't write PNG");
    };
    const AVCodec* codec = avcodec_find_encoder(AV_CODEC_ID_PNG);
    made(codec != nullptr);
    AVCodecContext* context = avcodec_alloc_context3(codec);
    context->width = width;
    context->height = height;
    context->time_base = {1, 1};
    context->pix_fmt = AV_PIX_FMT_RGB24;
    made(avcodec_open2(context, codec, nullptr) >= 0);
    SwsContext* scaler = sws_getContext(width, height, AV_PIX_FMT_BGRA, width, height, AV_PIX_FMT_RGB24, SWS_BICUBIC,
                                        nullptr, nullptr, nullptr);
    AVFrame* frame = av_frame_alloc();
    frame->format = AV_PIX_FMT_RGB24;
    frame->width = width;
    frame->height = height;
    made(av_frame_get_buffer(frame, 0) >= 0);
    const std::uint8_t* source[] = {picture};
    const int stride[] = {4 * width};
    sws_scale(scaler, source, stride, 0, height, frame->data, frame->linesize);
    AVPacket* packet = av_packet_alloc();
    made(avcodec_send_frame(context, frame) >= 0 && avcodec_receive_packet(context, packet) >= 0);
    av_packet_free(&packet);
    av_frame_free(&frame);
    sws_freeContext(scaler);
    avcodec_free_context(&context);
}

double subtract(const AVFrame& before, const AVFrame& now, int x, int y, int width, int height)
{
    std::int64_t sum = 0;
    for (int row = y; row < y + height; ++row) {
        const std::uint8_t* a = before.data[0] + static_cast<std::ptrdiff_t>(row) * before.linesize[0] + x;
        const std::uint8_t* b = now.data[0] + static_cast<std::ptrdiff_t>(row) * now.linesize[0] + x;
        for (int i = 0; i < width; ++i)
            sum += std::abs(int{b[i]} - int{a[i]});
    }
    return static_cast<double>(sum) / (static_cast<double>(width) * height);
}

} // namespace bare
