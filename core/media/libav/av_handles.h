#pragma once // not public: only core/media may include it
#include "core/error.h"
#include <cstdio>
#include <memory>
#include <optional>
#include <string>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/frame.h>
#include <libavutil/imgutils.h>
#include <libavutil/pixdesc.h>
#include <libswscale/swscale.h>
}

namespace media {

template <auto Free> struct AvFree {
    template <class T> void operator()(T* p) const noexcept
    {
        if constexpr (requires { Free(&p); })
            Free(&p);
        else
            Free(p);
    }
};

inline void freeInput(AVIOContext** input)
{
    if (*input)
        av_freep(&(*input)->buffer); // libav may have put a larger one in its place
    avio_context_free(input);
}

using InputPtr = std::unique_ptr<AVIOContext, AvFree<freeInput>>;
using FormatPtr = std::unique_ptr<AVFormatContext, AvFree<avformat_close_input>>;
using CodecPtr = std::unique_ptr<AVCodecContext, AvFree<avcodec_free_context>>;
using PacketPtr = std::unique_ptr<AVPacket, AvFree<av_packet_free>>;
using FramePtr = std::unique_ptr<AVFrame, AvFree<av_frame_free>>;
using ParserPtr = std::unique_ptr<AVCodecParserContext, AvFree<av_parser_close>>;
using FilePtr = std::unique_ptr<std::FILE, AvFree<std::fclose>>;
using ScalerPtr = std::unique_ptr<SwsContext, AvFree<sws_freeContext>>;

/// Options for libav's open calls; frees what the call didn't take.
class Options {
public:
    Options() = default;
    ~Options() { av_dict_free(&m_entries); }
    Options(const Options&) = delete;
    Options& operator=(const Options&) = delete;
    void set(const char* key, const char* value) { av_dict_set(&m_entries, key, value, 0); }
    void set(const char* key, std::int64_t value) { av_dict_set_int(&m_entries, key, value, 0); }
    AVDictionary** get() { return &m_entries; }

private:
    AVDictionary* m_entries = nullptr;
};

std::string reasonOf(int rc);

/// Passes `rc` on, or throws Unreadable with "`doing`: libav's reason".
int check(int rc, const std::string& doing);

template <class Pointer> Pointer allocated(Pointer p, const char* what)
{
    if (!p)
        throw core::Error(core::ErrorKind::Unreadable, std::string("There is not enough memory for ") + what + ".");
    return p;
}

inline PacketPtr newPacket() { return allocated(PacketPtr(av_packet_alloc()), "a packet"); }
inline FramePtr newFrame() { return allocated(FramePtr(av_frame_alloc()), "a picture"); }

// What changed its name after FFmpeg 5.1.

inline bool isKeyFrame(const AVFrame& frame)
{
#if LIBAVUTIL_VERSION_INT >= AV_VERSION_INT(58, 7, 100)
    return frame.flags & AV_FRAME_FLAG_KEY;
#else
    return frame.key_frame != 0;
#endif
}

inline bool isInterlaced(const AVFrame& frame)
{
#if LIBAVUTIL_VERSION_INT >= AV_VERSION_INT(58, 7, 100)
    return frame.flags & AV_FRAME_FLAG_INTERLACED;
#else
    return frame.interlaced_frame != 0;
#endif
}

/// How the container wants its pictures turned; null where it doesn't say.
inline const std::int32_t* displayMatrix(const AVStream& stream)
{
#if LIBAVCODEC_VERSION_INT >= AV_VERSION_INT(60, 30, 100)
    const AVPacketSideData* side = av_packet_side_data_get(
        stream.codecpar->coded_side_data, stream.codecpar->nb_coded_side_data, AV_PKT_DATA_DISPLAYMATRIX);
    return side ? reinterpret_cast<const std::int32_t*>(side->data) : nullptr;
#else
    return reinterpret_cast<const std::int32_t*>(av_stream_get_side_data(&stream, AV_PKT_DATA_DISPLAYMATRIX, nullptr));
#endif
}

/// Call before the decoder is opened.
inline void carryOrdinals([[maybe_unused]] AVCodecContext& decoder)
{
#if LIBAVCODEC_VERSION_MAJOR >= 60
    decoder.flags |= AV_CODEC_FLAG_COPY_OPAQUE;
#endif
}

/// Its get_buffer2 may be called by any of the decoder's threads; later versions expect that anyway.
inline void letThreadsTakeBuffers([[maybe_unused]] AVCodecContext& decoder)
{
#if LIBAVCODEC_VERSION_MAJOR < 60
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wdeprecated-declarations"
    decoder.thread_safe_callbacks = 1;
#pragma GCC diagnostic pop
#endif
}

/// The picture decoded from `packet` will come out with this number, however the decoder reorders.
inline void setOrdinal([[maybe_unused]] AVCodecContext& decoder, [[maybe_unused]] AVPacket& packet,
                       std::int64_t ordinal)
{
#if LIBAVCODEC_VERSION_MAJOR >= 60
    packet.opaque = reinterpret_cast<void*>(ordinal);
#else
    decoder.reordered_opaque = ordinal;
#endif
}

inline std::int64_t ordinalOf(const AVFrame& frame)
{
#if LIBAVCODEC_VERSION_MAJOR >= 60
    return reinterpret_cast<std::int64_t>(frame.opaque);
#else
    return frame.reordered_opaque;
#endif
}

} // namespace media
