#include "tests/footage/audio_tone.h"
#include <cmath>
#include <numbers>

namespace footage {
namespace {

constexpr int sampleRate = 48000;

} // namespace

AudioTone::AudioTone(AVFormatContext& output)
    : m_stream(avformat_new_stream(&output, nullptr)), m_frame(av_frame_alloc()), m_packet(av_packet_alloc())
{
    const bool aac = avformat_query_codec(output.oformat, AV_CODEC_ID_AAC, FF_COMPLIANCE_NORMAL) == 1
                     && output.oformat->name != std::string("avi");
    const AVCodec* codec = avcodec_find_encoder(aac ? AV_CODEC_ID_AAC : AV_CODEC_ID_PCM_S16LE);
    m_context.reset(avcodec_alloc_context3(codec));
    m_context->sample_rate = sampleRate;
    m_context->sample_fmt = aac ? AV_SAMPLE_FMT_FLTP : AV_SAMPLE_FMT_S16;
    m_context->time_base = {1, sampleRate};
    m_context->bit_rate = 64000;
    m_context->thread_count = 1;
    m_context->flags |= AV_CODEC_FLAG_BITEXACT;
    if (output.oformat->flags & AVFMT_GLOBALHEADER)
        m_context->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    av_channel_layout_default(&m_context->ch_layout, 1);
    check(avcodec_open2(m_context.get(), codec, nullptr), "open the sound encoder");
    check(avcodec_parameters_from_context(m_stream->codecpar, m_context.get()), "describe the sound stream");
    m_stream->time_base = m_context->time_base;
}

AVPacket* AudioTone::next(double seconds)
{
    av_packet_unref(m_packet.get());
    while (static_cast<double>(m_samples) < seconds * sampleRate) {
        if (encodeMore())
            return m_packet.get();
    }
    return nullptr;
}

bool AudioTone::encodeMore()
{
    AVFrame& frame = *m_frame;
    av_frame_unref(&frame);
    frame.format = m_context->sample_fmt;
    frame.nb_samples = m_context->frame_size > 0 ? m_context->frame_size : 1024;
    frame.sample_rate = sampleRate;
    av_channel_layout_copy(&frame.ch_layout, &m_context->ch_layout);
    check(av_frame_get_buffer(&frame, 0), "get sound memory");
    for (int i = 0; i < frame.nb_samples; ++i) {
        const double value =
            0.05 * std::sin(2 * std::numbers::pi * 440 * static_cast<double>(m_samples + i) / sampleRate);
        if (m_context->sample_fmt == AV_SAMPLE_FMT_FLTP)
            reinterpret_cast<float*>(frame.data[0])[i] = static_cast<float>(value);
        else
            reinterpret_cast<std::int16_t*>(frame.data[0])[i] = static_cast<std::int16_t>(value * 32767);
    }
    frame.pts = m_samples;
    m_samples += frame.nb_samples;
    check(avcodec_send_frame(m_context.get(), &frame), "encode sound");
    const int code = avcodec_receive_packet(m_context.get(), m_packet.get());
    if (code == AVERROR(EAGAIN))
        return false;
    check(code, "encode sound");
    m_packet->stream_index = m_stream->index;
    av_packet_rescale_ts(m_packet.get(), m_context->time_base, m_stream->time_base);
    return true;
}

} // namespace footage
