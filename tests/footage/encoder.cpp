#include "tests/footage/encoder.h"
#include "tests/footage/pixels.h"
#include <cstring>

#ifdef __SANITIZE_ADDRESS__
// x265 3.5 keeps parameter strings and filter memory for good: not ours to free, and it would hide leaks that are.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() { return "leak:libx265\n"; }
#endif

namespace footage {
namespace {

std::string x264Params(const StorageSpec& s)
{
    const std::string gop = std::to_string(s.gop);
    // mbtree off: with it and B-frames x264 r3095 gave other bytes now and then for the same pictures (13 of 30 runs).
    std::string params = "mbtree=0:scenecut=0:keyint=" + gop + ":min-keyint=" + gop
                         + ":bframes=" + std::to_string(s.bFrames) + ":b-pyramid=" + (s.bPyramid ? "normal" : "none")
                         + ":open-gop=" + (s.openGop ? "1" : "0");
    if (!s.codecParams.empty())
        params += ":" + s.codecParams;
    return params;
}

std::string x265Params(const StorageSpec& s)
{
    const std::string gop = std::to_string(s.gop);
    std::string params = "log-level=error:pools=none:frame-threads=1:wpp=0:info=0:scenecut=0:keyint=" + gop
                         + ":min-keyint=" + gop + ":bframes=" + std::to_string(s.bFrames)
                         + ":b-pyramid=" + (s.bPyramid ? "1" : "0") + ":open-gop=" + (s.openGop ? "1" : "0");
    if (!s.codecParams.empty())
        params += ":" + s.codecParams;
    return params;
}

void setCodecOptions(const StorageSpec& s, AVCodecContext& context, Options& options)
{
    if (s.codec == "libx264" || s.codec == "libx265") {
        options.set("preset", s.preset);
        options.set("crf", std::to_string(s.quality));
        if (s.codec == "libx264")
            options.set("x264-params", x264Params(s));
        else
            options.set("x265-params", x265Params(s));
    } else if (s.codec == "mjpeg") {
        context.flags |= AV_CODEC_FLAG_QSCALE;
        context.global_quality = static_cast<int>(s.quality * FF_QP2LAMBDA);
    } else {
        context.gop_size = s.gop;
        context.max_b_frames = s.bFrames;
    }
    for (const auto& [key, value] : s.codecOptions)
        options.set(key, value);
}

} // namespace

Encoder::Encoder(const StorageSpec& storage, int width, int height, bool globalHeader, Sink sink)
    : m_storage(storage), m_sink(std::move(sink)), m_packet(av_packet_alloc())
{
    const AVCodec* codec = avcodec_find_encoder_by_name(storage.codec.c_str());
    if (!codec)
        throw std::runtime_error("footage: this libav has no encoder " + storage.codec);
    m_context.reset(avcodec_alloc_context3(codec));
    AVCodecContext& c = *m_context;
    c.log_level_offset = 9; // errors only: encoders print a page of statistics each
    c.width = width;
    c.height = height;
    c.pix_fmt = pixelFormat(storage.pixelFormat);
    c.time_base = {static_cast<int>(storage.playbackRate.den), static_cast<int>(storage.playbackRate.num)};
    c.framerate = {c.time_base.den, c.time_base.num};
    c.sample_aspect_ratio = {static_cast<int>(storage.pixelAspect.num), static_cast<int>(storage.pixelAspect.den)};
    c.thread_count = storage.threads;
    c.flags |= AV_CODEC_FLAG_BITEXACT | (globalHeader ? AV_CODEC_FLAG_GLOBAL_HEADER : 0);
    const AVPixFmtDescriptor& format = *av_pix_fmt_desc_get(c.pix_fmt);
    const bool yuv = !(format.flags & AV_PIX_FMT_FLAG_RGB) && format.nb_components >= 3;
    if (yuv) {
        const bool full = storage.fullRange || storage.pixelFormat.starts_with("yuvj");
        c.color_range = full ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
        c.colorspace = storage.matrix == Matrix::Bt601 ? AVCOL_SPC_SMPTE170M : AVCOL_SPC_BT709;
        c.color_primaries = storage.matrix == Matrix::Bt601 ? AVCOL_PRI_SMPTE170M : AVCOL_PRI_BT709;
        c.color_trc = storage.matrix == Matrix::Bt601 ? AVCOL_TRC_SMPTE170M : AVCOL_TRC_BT709;
    }

    Options options;
    setCodecOptions(storage, c, options);
    check(avcodec_open2(&c, codec, options.get()), "open encoder " + storage.codec);
    options.allUsed(storage.codec);
}

void Encoder::encode(const Frame& frame)
{
    const AVCodecContext& c = *m_context;
    const FramePtr picture(av_frame_alloc()); // a fresh one each time: the encoder may still hold the last ones
    picture->format = c.pix_fmt;
    picture->width = c.width;
    picture->height = c.height;
    picture->color_range = c.color_range;
    picture->colorspace = c.colorspace;
    check(av_frame_get_buffer(picture.get(), 0), "get picture memory");
    for (int i = 0; i < AV_NUM_DATA_POINTERS && picture->buf[i]; ++i)
        std::memset(picture->buf[i]->data, 0, picture->buf[i]->size); // padding gets into some codecs
    convert(frame, *picture, c.color_range == AVCOL_RANGE_JPEG, m_storage.matrix);
    picture->pts = m_next++;
    check(avcodec_send_frame(m_context.get(), picture.get()), "encode with " + m_storage.codec);
    receive();
}

void Encoder::finish()
{
    check(avcodec_send_frame(m_context.get(), nullptr), "finish " + m_storage.codec);
    receive();
}

void Encoder::receive()
{
    for (;;) {
        const int code = avcodec_receive_packet(m_context.get(), m_packet.get());
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
            return;
        check(code, "encode with " + m_storage.codec);
        m_sink(*m_packet);
        av_packet_unref(m_packet.get());
    }
}

} // namespace footage
