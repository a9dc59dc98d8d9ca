#include "tests/footage/audio_tone.h"
#include "tests/footage/encoder.h"
#include "tests/footage/writer.h"
#include <algorithm>

namespace footage {
namespace {

namespace fs = std::filesystem;

class FilmFile : public Writer {
public:
    FilmFile(const fs::path& path, const StorageSpec& storage, int width, int height, Stamps stamps);
    void write(const Frame& frame) override { m_encoder->encode(frame); }
    void finish() override;

private:
    void addVideoStream();
    void writeHeader();
    void writeVideo(AVPacket& packet);
    void writeAudioUpTo(double seconds);
    void send(AVPacket& packet, const char* what) { check(av_interleaved_write_frame(m_output.get(), &packet), what); }

    StorageSpec m_storage;
    Stamps m_stamps;
    OutputPtr m_output;
    std::unique_ptr<AudioTone> m_audio;
    std::unique_ptr<Encoder> m_encoder;
    AVStream* m_video = nullptr;
    std::int64_t m_packets = 0;
    std::int64_t m_delay = 0; ///< frames between first decode and first show
};

FilmFile::FilmFile(const fs::path& path, const StorageSpec& storage, int width, int height, Stamps stamps)
    : m_storage(storage), m_stamps(std::move(stamps))
{
    AVFormatContext* output = nullptr;
    check(avformat_alloc_output_context2(&output, nullptr,
                                         storage.container.empty() ? nullptr : storage.container.c_str(), path.c_str()),
          "find a container for " + path.string());
    m_output.reset(output);
    m_output->flags |= AVFMT_FLAG_BITEXACT;
    const bool globalHeader = m_output->oformat->flags & AVFMT_GLOBALHEADER;
    m_encoder = std::make_unique<Encoder>(storage, width, height, globalHeader, [this](AVPacket& p) { writeVideo(p); });
    if (storage.audioFirst)
        m_audio = std::make_unique<AudioTone>(*m_output);
    addVideoStream();
    for (const auto& [key, value] : storage.tags)
        av_dict_set(&m_output->metadata, key.c_str(), value.c_str(), 0);
    check(avio_open(&m_output->pb, path.c_str(), AVIO_FLAG_WRITE), "write " + path.string());
    writeHeader();
}

void FilmFile::addVideoStream()
{
    m_video = avformat_new_stream(m_output.get(), nullptr);
    const AVCodecContext& encoder = m_encoder->context();
    check(avcodec_parameters_from_context(m_video->codecpar, &encoder), "describe the video stream");
    m_video->sample_aspect_ratio = encoder.sample_aspect_ratio;
    m_video->avg_frame_rate = encoder.framerate;
    m_video->time_base = m_storage.timeBase.num > 0 ? AVRational{static_cast<int>(m_storage.timeBase.num),
                                                                 static_cast<int>(m_storage.timeBase.den)}
                                                    : AVRational{1, 90000};
    if (m_output->oformat->name == std::string("avi"))
        m_video->time_base = encoder.time_base; // its stamps are frame numbers
    if (m_storage.rotation != 0) {
        constexpr std::size_t matrixBytes = 9 * sizeof(std::int32_t);
#if LIBAVCODEC_VERSION_INT >= AV_VERSION_INT(60, 30, 100)
        AVCodecParameters& told = *m_video->codecpar;
        std::uint8_t* matrix = av_packet_side_data_new(&told.coded_side_data, &told.nb_coded_side_data,
                                                       AV_PKT_DATA_DISPLAYMATRIX, matrixBytes, 0)
                                   ->data;
#else
        std::uint8_t* matrix = av_stream_new_side_data(m_video, AV_PKT_DATA_DISPLAYMATRIX, matrixBytes);
#endif
        // libav counts anticlockwise, and its setter turns the other way round.
        av_display_rotation_set(reinterpret_cast<std::int32_t*>(matrix), m_storage.rotation);
    }
    if (m_storage.codec == "libx265" && (m_output->oformat->flags & AVFMT_GLOBALHEADER)
        && m_output->oformat->name != std::string("matroska"))
        m_video->codecpar->codec_tag = MKTAG('h', 'v', 'c', '1');
}

void FilmFile::writeHeader()
{
    Options options;
    const bool mov = m_output->oformat->name == std::string("mp4") || m_output->oformat->name == std::string("mov");
    if (mov && m_storage.timeBase.num > 0)
        options.set("video_track_timescale", std::to_string(m_storage.timeBase.den));
    if (mov && m_storage.timeBase.num == 0)
        options.set("video_track_timescale", "90000");
    for (const auto& [key, value] : m_storage.muxerOptions)
        options.set(key, value);
    check(avformat_write_header(m_output.get(), options.get()), "write the container's header");
    options.allUsed(m_output->oformat->name);
}

void FilmFile::writeVideo(AVPacket& packet)
{
    // The encoder counted frames; the container gets each frame's own stamp.
    const AVRational base = m_video->time_base;
    const std::int64_t frame = packet.pts;
    if (m_packets == 0)
        m_delay = -std::min<std::int64_t>(packet.dts, 0);
    const auto last = static_cast<std::int64_t>(m_stamps.count()) - 1;
    packet.pts = m_stamps.ticks(frame, base.num, base.den);
    packet.dts = m_stamps.ticks(m_packets - m_delay, base.num, base.den);
    packet.duration = frame < last ? m_stamps.ticks(frame + 1, base.num, base.den) - packet.pts
                      : last > 0   ? packet.pts - m_stamps.ticks(last - 1, base.num, base.den)
                                   : m_storage.playbackRate.den * base.den / (m_storage.playbackRate.num * base.num);
    packet.stream_index = m_video->index;
    if (m_audio)
        writeAudioUpTo(m_stamps.seconds(frame));
    ++m_packets;
    send(packet, "write a picture");
}

void FilmFile::writeAudioUpTo(double seconds)
{
    while (AVPacket* packet = m_audio->next(seconds))
        send(*packet, "write sound");
}

void FilmFile::finish()
{
    m_encoder->finish();
    check(av_write_trailer(m_output.get()), "finish the container");
    check(avio_closep(&m_output->pb), "close the file");
}

} // namespace

std::unique_ptr<Writer> openFile(const fs::path& path, const StorageSpec& storage, int width, int height, Stamps stamps)
{
    return std::make_unique<FilmFile>(path, storage, width, height, std::move(stamps));
}

} // namespace footage
