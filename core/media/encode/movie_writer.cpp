#include "core/media/encode/movie_writer.h"
#include "core/media/libav/av_handles.h"
#include "core/media/libav/av_setup.h"

extern "C" {
#include <libavutil/opt.h>
}

#include <cassert>
#include <system_error>

namespace media {

/// Not in the nameless namespace: a member of Impl has this type.
struct MovieOutputFree {
    void operator()(AVFormatContext* context) const noexcept
    {
        avio_closep(&context->pb);
        avformat_free_context(context);
    }
};
using MovieOutputPtr = std::unique_ptr<AVFormatContext, MovieOutputFree>;

namespace {

/// Fixed, because x264 divides the work by it and the bytes differ with the division.
constexpr int encoderThreads = 4;

[[noreturn]] void fail(const std::filesystem::path& path, const std::string& why)
{
    throw core::Error(core::ErrorKind::WriteFailed, "The movie " + path.string() + " can't be written: " + why + '.');
}

} // namespace

class MovieWriter::Impl {
public:
    Impl(std::filesystem::path path, const MovieFormat& format)
        : m_path(std::move(path)), m_beside(m_path.string() + ".part"), m_format(format)
    {
        assert(format.size.width >= 16 && format.size.height >= 16);
        assert(format.size.width % 2 == 0 && format.size.height % 2 == 0);
        setUpLibav();
        const bool h264 = format.codec == MovieCodec::H264;
        const char* name = h264 ? "libx264" : "prores_ks";
        const AVCodec* codec = avcodec_find_encoder_by_name(name);
        if (!codec)
            throw core::Error(core::ErrorKind::Unsupported,
                              std::string("This machine's libav can't write ") + (h264 ? "H.264" : "ProRes 4444")
                                  + ": its encoder " + name + " is missing. Pictures can be written all the same.");
        AVFormatContext* output = nullptr;
        written(avformat_alloc_output_context2(&output, nullptr, h264 ? "mp4" : "mov", m_beside.c_str()));
        m_output.reset(output);
        output->flags |= AVFMT_FLAG_BITEXACT; // no version, no date
        openEncoder(codec, h264);
        AVStream* stream = avformat_new_stream(output, nullptr);
        if (!stream)
            fail(m_path, "there is not enough memory");
        stream->time_base = m_codec->time_base;
        stream->avg_frame_rate = m_codec->framerate;
        written(avcodec_parameters_from_context(stream->codecpar, m_codec.get()));
        written(avio_open(&output->pb, m_beside.c_str(), AVIO_FLAG_WRITE));
        m_begun = true;
        Options options;
        if (h264)
            options.set("movflags", "+faststart");
        written(avformat_write_header(output, options.get()));
        m_scaler.reset(sws_getContext(format.size.width, format.size.height, AV_PIX_FMT_BGRA, format.size.width,
                                      format.size.height, m_codec->pix_fmt,
                                      SWS_BICUBIC | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INP, nullptr, nullptr, nullptr));
        if (!m_scaler)
            fail(m_path, "its pictures can't be converted");
        const int* bt709 = sws_getCoefficients(SWS_CS_ITU709);
        sws_setColorspaceDetails(m_scaler.get(), bt709, 1, bt709, 0, 0, 1 << 16, 1 << 16);
        m_frame = newFrame();
        m_frame->format = m_codec->pix_fmt;
        m_frame->width = format.size.width;
        m_frame->height = format.size.height;
        written(av_frame_get_buffer(m_frame.get(), 0));
        m_packet = newPacket();
    }

    ~Impl()
    {
        if (m_committed || !m_begun)
            return;
        m_output.reset();
        std::error_code ignored; // nothing more can be done about a file that can't be removed
        std::filesystem::remove(m_beside, ignored);
    }

    void add(const MoviePicture& picture)
    {
        written(av_frame_make_writable(m_frame.get()));
        const std::uint8_t* source[] = {picture.pixels};
        const int stride[] = {static_cast<int>(picture.stride)};
        sws_scale(m_scaler.get(), source, stride, 0, m_format.size.height, m_frame->data, m_frame->linesize);
        m_frame->pts = m_count++;
        written(avcodec_send_frame(m_codec.get(), m_frame.get()));
        drain();
    }

    void finish()
    {
        written(avcodec_send_frame(m_codec.get(), nullptr));
        drain();
        written(av_write_trailer(m_output.get()));
        written(avio_closep(&m_output->pb));
        m_output.reset();
        m_finished = true;
    }

    void commit()
    {
        assert(m_finished);
        std::error_code error;
        std::filesystem::rename(m_beside, m_path, error);
        if (error)
            fail(m_path, error.message());
        m_committed = true;
    }

private:
    void written(int rc) const
    {
        if (rc < 0)
            fail(m_path, reasonOf(rc));
    }

    void openEncoder(const AVCodec* codec, bool h264)
    {
        m_codec.reset(avcodec_alloc_context3(codec));
        if (!m_codec)
            fail(m_path, "there is not enough memory");
        const auto& rate = m_format.playbackRate;
        m_codec->width = m_format.size.width;
        m_codec->height = m_format.size.height;
        m_codec->framerate = {static_cast<int>(rate.numerator()), static_cast<int>(rate.denominator())};
        m_codec->time_base = av_inv_q(m_codec->framerate);
        m_codec->pix_fmt = h264 ? AV_PIX_FMT_YUV420P : AV_PIX_FMT_YUVA444P10LE;
        m_codec->color_range = AVCOL_RANGE_MPEG;
        m_codec->colorspace = AVCOL_SPC_BT709;
        m_codec->color_primaries = AVCOL_PRI_BT709;
        m_codec->color_trc = AVCOL_TRC_BT709;
        m_codec->flags |= AV_CODEC_FLAG_BITEXACT;
        m_codec->thread_count = encoderThreads;
        if (m_output->oformat->flags & AVFMT_GLOBALHEADER)
            m_codec->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
        Options options;
        if (h264) {
            options.set("preset", "medium");
            options.set("crf", "15"); // thin lines and small words stay clean through the next encoder
        } else {
            options.set("profile", "4444");
            options.set("alpha_bits", "16");
            options.set("vendor", "apl0");
        }
        written(avcodec_open2(m_codec.get(), codec, options.get()));
    }

    void drain()
    {
        for (;;) {
            const int rc = avcodec_receive_packet(m_codec.get(), m_packet.get());
            if (rc == AVERROR(EAGAIN) || rc == AVERROR_EOF)
                return;
            written(rc);
            AVStream* stream = m_output->streams[0];
            m_packet->stream_index = 0;
            m_packet->duration = 1;
            av_packet_rescale_ts(m_packet.get(), m_codec->time_base, stream->time_base);
            written(av_interleaved_write_frame(m_output.get(), m_packet.get()));
        }
    }

    std::filesystem::path m_path, m_beside;
    MovieFormat m_format;
    MovieOutputPtr m_output;
    CodecPtr m_codec;
    ScalerPtr m_scaler;
    FramePtr m_frame;
    PacketPtr m_packet;
    std::int64_t m_count = 0;
    bool m_begun = false, m_finished = false, m_committed = false;
};

MovieWriter::MovieWriter(std::filesystem::path path, const MovieFormat& format)
    : m_impl(std::make_unique<Impl>(std::move(path), format))
{}
MovieWriter::~MovieWriter() = default;
void MovieWriter::add(const MoviePicture& picture) { m_impl->add(picture); }
void MovieWriter::finish() { m_impl->finish(); }
void MovieWriter::commit() { m_impl->commit(); }

} // namespace media
