#include "core/media/libav/decoder.h"
#include "core/media/libav/frame_store.h"
#include "core/media/libav/undecoded_squares.h"
#include <algorithm>
#include <string_view>
#include <thread>

namespace media {
namespace {

int givePrefilledBuffer(AVCodecContext* decoder, AVFrame* frame, int flags)
{
    const int rc = avcodec_default_get_buffer2(decoder, frame, flags);
    if (rc >= 0)
        prefillSquares(*frame);
    return rc;
}

} // namespace

Decoder::Decoder(const AVCodec& codec, const AVStream& stream, Threading threading, Complaints& complaints)
    : m_context(allocated(CodecPtr(avcodec_alloc_context3(&codec)), "a decoder")),
      m_hasForeignPool(std::string_view(codec.name) == "libdav1d")
{
    const std::string doing = std::string("The decoder for ") + codec.name + " can't be started";
    check(avcodec_parameters_to_context(m_context.get(), stream.codecpar), doing);
    m_context->opaque = &complaints;
    m_context->pkt_timebase = stream.time_base;
    m_context->max_pixels = mostPixels;
    carryOrdinals(*m_context);

    const int cores = std::clamp(static_cast<int>(std::thread::hardware_concurrency()), 1, 16);
    // Where MPEG-4 data are damaged, its frame threads read what others of them are still writing: complaints and
    // pictures differed in most of 60 runs over one such film, and in ten nothing was said at all. It is quick enough
    // on one.
    const int frameThreads = codec.id == AV_CODEC_ID_MPEG4 ? 0 : FF_THREAD_FRAME;
    Options options;
    m_prefills = (codec.capabilities & AV_CODEC_CAP_DR1) && !m_hasForeignPool
                 && (threading == Threading::Throughput || threading == Threading::One);
    switch (threading) {
    case Threading::Throughput:
        m_context->thread_count = cores;
        m_context->thread_type = frameThreads | FF_THREAD_SLICE;
        m_context->err_recognition |= AV_EF_CRCCHECK; // whoever looks at all of it may as well check it
        if (m_prefills) {
            m_context->get_buffer2 = givePrefilledBuffer;
            letThreadsTakeBuffers(*m_context);
        }
        break;
    case Threading::LongWay:
        m_context->thread_count = cores + 1; // one picture is handed out while the others are decoded
        m_context->thread_type = frameThreads | FF_THREAD_SLICE;
        FrameStore::serve(*m_context, false);
        break;
    case Threading::Latency:
        m_context->thread_count = cores;
        m_context->thread_type = FF_THREAD_SLICE;
        FrameStore::serve(*m_context, false);
        if (m_hasForeignPool) { // libdav1d would hold back pictures for its own frame threads
            options.set("framethreads", 1);
            options.set("tilethreads", cores);
        }
        break;
    case Threading::One:
        m_context->thread_count = 1;
        m_context->err_recognition |= AV_EF_CRCCHECK;
        FrameStore::serve(*m_context, true);
        break;
    }
    check(avcodec_open2(m_context.get(), &codec, options.get()), doing);
}

int Decoder::send(AVPacket* packet, std::int64_t ordinal, bool spare)
{
    if (packet)
        setOrdinal(*m_context, *packet, ordinal);
    m_context->skip_frame = spare && canLeaveOut() ? AVDISCARD_NONREF : AVDISCARD_DEFAULT;
    return avcodec_send_packet(m_context.get(), packet);
}

bool Decoder::canLeaveOut() const
{
    return m_context->codec_id == AV_CODEC_ID_H264 || m_context->codec_id == AV_CODEC_ID_HEVC;
}

int Decoder::receive(AVFrame& frame) { return avcodec_receive_frame(m_context.get(), &frame); }

bool Decoder::isWhole(const AVFrame& frame) const { return !m_prefills || allSquaresDecoded(frame); }

FramePtr Decoder::kept(FramePtr frame) const
{
    return m_hasForeignPool ? FrameStore::shared().copyOf(*frame) : std::move(frame);
}

void Decoder::flush() { avcodec_flush_buffers(m_context.get()); }

} // namespace media
