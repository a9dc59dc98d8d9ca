#include "core/media/index/demuxer.h"
#include "core/media/index/description.h"
#include "core/media/index/refusal.h"
#include <algorithm>
#include <limits>
#include <array>
#include <cstring>
#include <fstream>
#include <string_view>
#include <sys/stat.h>
#include <unistd.h>

extern "C" {
#include <libavutil/parseutils.h>
}

namespace media {
namespace {

using core::Error;
using core::ErrorKind;

constexpr int bufferSize = 32768;      // libav's own for files
constexpr int mostInOneRead = 1 << 20; // a stop waits for one read at most

/// Of a plain, readable, non-empty file; a sentence for anything else.
FileVersion versionOfPlainFile(const std::filesystem::path& path)
{
    std::error_code failed;
    const auto status = std::filesystem::status(path, failed);
    if (status.type() == std::filesystem::file_type::not_found && isAddress(path))
        throw Error(ErrorKind::Unsupported,
                    quoted(path) + " is an address, and only files on this machine are opened; fetch it first.");
    if (status.type() == std::filesystem::file_type::not_found)
        throw Error(ErrorKind::NotFound, "There is no file " + quoted(path) + ".");
    if (failed)
        throw Error(ErrorKind::Unreadable, quoted(path) + " can't be looked at: " + failed.message() + ".");
    if (!std::filesystem::is_regular_file(status))
        throw Error(ErrorKind::Unsupported, quoted(path) + " isn't a file that footage could be in.");
    const FileVersion version = versionOf(path);
    if (version.size == 0)
        throw Error(ErrorKind::Unreadable, quoted(path) + " is empty.");
    return version;
}

/// JPEG pictures in a row are footage; libav takes them for a single picture unless it is told.
const AVInputFormat* forcedFormat(const std::filesystem::path& path)
{
    constexpr std::size_t firstPicture = std::size_t{1} << 23; // bytes in which the second one should begin
    constexpr std::string_view begin = "\xff\xd8\xff", next = "\xff\xd9\xff\xd8\xff";
    std::string head(begin.size(), '\0');
    std::ifstream file(path, std::ios::binary);
    if (!file.read(head.data(), static_cast<std::streamsize>(head.size())) || head != begin)
        return nullptr;
    head.resize(firstPicture);
    file.read(head.data(), static_cast<std::streamsize>(head.size()));
    head.resize(file.gcount());
    return head.find(next) == std::string::npos ? nullptr : av_find_input_format("mjpeg");
}

bool isMovingPicture(const AVStream& stream)
{
    constexpr int still = AV_DISPOSITION_ATTACHED_PIC | AV_DISPOSITION_TIMED_THUMBNAILS;
    return stream.codecpar->codec_type == AVMEDIA_TYPE_VIDEO && !(stream.disposition & still);
}

const AVCodec* decoderFor(const AVStream& stream)
{
    const AVCodec* decoder = avcodec_find_decoder(stream.codecpar->codec_id);
    return decoder && isAmong(decoder->name, allowedDecoders) ? decoder : nullptr;
}

/// Frames as the container has them, before any packet is read; 0 where it doesn't say.
std::int64_t framesSaid(const AVStream& stream)
{
    return std::clamp<std::int64_t>(std::max<std::int64_t>(stream.nb_frames, avformat_index_get_entries_count(&stream)),
                                    0, std::numeric_limits<std::int32_t>::max());
}

/// By the stream's head, or by Matroska's note about it.
std::optional<timing::Rational> durationOf(const AVStream& stream)
{
    if (stream.duration > 0)
        return secondsOf(stream.duration, stream.time_base);
    const AVDictionaryEntry* note = av_dict_get(stream.metadata, "DURATION", nullptr, AV_DICT_IGNORE_SUFFIX);
    std::int64_t microseconds = 0;
    if (!note || av_parse_time(&microseconds, note->value, 1) < 0 || microseconds <= 0)
        return std::nullopt;
    return secondsOf(microseconds, {1, 1'000'000});
}

/// libav's name, or the container's four letters where libav has none.
std::string kindOf(const AVStream& stream)
{
    if (stream.codecpar->codec_id != AV_CODEC_ID_NONE)
        return avcodec_get_name(stream.codecpar->codec_id);
    std::array<char, AV_FOURCC_MAX_STRING_SIZE> tag{};
    return av_fourcc_make_string(tag.data(), stream.codecpar->codec_tag);
}

std::string listOf(const std::vector<VideoStream>& streams)
{
    std::string list;
    for (const VideoStream& stream : streams)
        list += (list.empty() ? "" : ", ") + std::to_string(stream.index);
    return list;
}

} // namespace

Demuxer::Demuxer(const std::filesystem::path& path, std::optional<int> stream, std::stop_token stop,
                 FootageChecksum* checksum)
    : m_stop(std::move(stop)), m_checksum(checksum), m_path(path), m_name(quoted(path))
{
    setUpLibav();
    throwIfStopped();
    m_version = versionOfPlainFile(path);
    try {
        open(path);
        chooseStream(stream);
    } catch (const Error&) {
        // Headerless samples can look like anything; then the name is all there is to go by.
        if (!stream && hasMakersRawName(path))
            throw makersRaw(m_name);
        throw;
    }
}

void Demuxer::open(const std::filesystem::path& path)
{
    m_file.reset(std::fopen(path.c_str(), "rb"));
    if (!m_file)
        throw Error(ErrorKind::Unreadable, m_name + " can't be opened for reading: " + std::strerror(errno) + ".");
    std::setvbuf(m_file.get(), nullptr, _IONBF, 0); // libav has a buffer of its own
    m_input.reset(allocated(
        avio_alloc_context(
            static_cast<std::uint8_t*>(allocated(av_malloc(bufferSize), "a file's buffer")), bufferSize, 0, this,
            [](void* self, std::uint8_t* bytes, int count) { return static_cast<Demuxer*>(self)->read(bytes, count); },
            nullptr,
            [](void* self, std::int64_t offset, int whence) {
                return static_cast<Demuxer*>(self)->setPlace(offset, whence);
            }),
        "a file"));
    AVFormatContext* format = allocated(avformat_alloc_context(), "a container");
    format->pb = m_input.get();
    format->opaque = &m_complaints;
    format->interrupt_callback = {
        [](void* self) -> int { return static_cast<Demuxer*>(self)->m_stop.stop_requested(); }, this};

    Options options;
    options.set("protocol_whitelist", "file");
    options.set("format_whitelist", allowedContainers);
    options.set("codec_whitelist", allowedDecoders);
    options.set("enable_drefs", "0");
    options.set("use_absolute_path", "0");
    // "file:" so that no name is taken for a protocol or a pattern.
    const std::string url = "file:" + std::filesystem::absolute(path).string();
    const int opened = avformat_open_input(&format, url.c_str(), forcedFormat(path), options.get());
    if (opened < 0)
        throwIfStopped();
    if (opened < 0)
        throw refusal(path, m_complaints.count() > 0 ? m_complaints.latest() : reasonOf(opened));
    m_format.reset(format);

    m_complaints.clear(); // about odd heads; from here on they are about the pictures

    // The decoders that look into the streams are bounded like ours.
    std::vector<Options> bounds(m_format->nb_streams);
    std::vector<AVDictionary*> perStream;
    for (Options& bound : bounds) {
        bound.set("max_pixels", mostPixels);
        bound.set("threads", "1");
        perStream.push_back(*bound.get());
    }
    const int found = avformat_find_stream_info(m_format.get(), perStream.empty() ? nullptr : perStream.data());
    for (std::size_t i = 0; i < bounds.size(); ++i)
        *bounds[i].get() = perStream[i];
    throwIfStopped();
    check(found, m_name + " can't be read");
}

void Demuxer::chooseStream(std::optional<int> wanted)
{
    // libav's own choice differs by container. The film wins over stills beside it, which may be larger (motion
    // photos); among films, whose counts differ by a few frames at most, the largest: previews are smaller.
    std::int64_t mostFrames = 0, largest = -1;
    for (unsigned i = 0; i < m_format->nb_streams; ++i)
        if (isMovingPicture(*m_format->streams[i]) && decoderFor(*m_format->streams[i]))
            mostFrames = std::max(mostFrames, framesSaid(*m_format->streams[i]));
    bool sawVideo = false, isMakersRaw = false;
    std::string unknown;
    for (unsigned i = 0; i < m_format->nb_streams; ++i) {
        AVStream& stream = *m_format->streams[i];
        stream.discard = AVDISCARD_ALL;
        if (!isMovingPicture(stream))
            continue;
        sawVideo = true;
        if (!decoderFor(stream)) {
            unknown = kindOf(stream);
            isMakersRaw = isMakersRaw || isMakersRawTag(stream.codecpar->codec_tag);
            continue;
        }
        const AVCodecParameters& kind = *stream.codecpar;
        const std::int64_t area = static_cast<std::int64_t>(std::max(kind.width, 0)) * std::max(kind.height, 0);
        if (2 * framesSaid(stream) >= mostFrames && area > largest) {
            largest = area;
            m_default = stream.index;
        }
    }
    if (!sawVideo)
        throw Error(ErrorKind::Unsupported, m_name + " has no moving picture in it"
                                                + (m_format->nb_streams > 0 ? ", only sound or notes." : "."));
    const int chosen = wanted.value_or(m_default);
    if (wanted
        && (*wanted < 0 || *wanted >= static_cast<int>(m_format->nb_streams)
            || !isMovingPicture(*m_format->streams[*wanted])))
        throw Error(ErrorKind::Unsupported, m_name + " has no moving picture in its stream " + std::to_string(*wanted)
                                                + "; choose one of " + listOf(streams()) + ".");
    m_stream = chosen < 0 ? nullptr : m_format->streams[chosen];
    m_decoder = m_stream ? decoderFor(*m_stream) : nullptr;
    if (!m_decoder && isMakersRaw)
        throw makersRaw(m_name);
    if (!m_decoder)
        throw Error(ErrorKind::Unsupported, m_name + " is coded in a way that can't be decoded ("
                                                + (m_stream ? kindOf(*m_stream) : unknown) + ").");
    m_stream->discard = AVDISCARD_DEFAULT;
}

std::vector<VideoStream> Demuxer::streams() const
{
    std::vector<VideoStream> streams;
    for (unsigned i = 0; i < m_format->nb_streams; ++i) {
        const AVStream& stream = *m_format->streams[i];
        if (!isMovingPicture(stream))
            continue;
        const AVCodecParameters& kind = *stream.codecpar;
        VideoStream found;
        found.index = stream.index;
        found.codec = avcodec_get_name(kind.codec_id);
        found.size = {std::max(kind.width, 0), std::max(kind.height, 0)};
        found.seconds = durationOf(stream);
        found.isDefault = stream.index == m_default;
        found.decodable = decoderFor(stream) != nullptr;
        streams.push_back(std::move(found));
    }
    return streams;
}

void Demuxer::throwIfStopped() const
{
    if (m_stop.stop_requested())
        throw core::Cancelled();
}

/// For libav.
int Demuxer::read(std::uint8_t* bytes, int count)
{
    if (m_stop.stop_requested())
        return AVERROR_EXIT;
    const ssize_t got = ::read(::fileno(m_file.get()), bytes, static_cast<std::size_t>(std::min(count, mostInOneRead)));
    if (got < 0)
        return AVERROR(errno);
    if (got == 0)
        return AVERROR_EOF;
    if (m_checksum)
        m_checksum->add(m_path, m_place, {bytes, static_cast<std::size_t>(got)});
    m_place += got;
    return static_cast<int>(got);
}

/// For libav.
std::int64_t Demuxer::setPlace(std::int64_t offset, int whence)
{
    const int file = ::fileno(m_file.get());
    if (whence == AVSEEK_SIZE) {
        struct stat now {};
        return ::fstat(file, &now) < 0 ? AVERROR(errno) : static_cast<std::int64_t>(now.st_size);
    }
    const off_t place = ::lseek(file, offset, whence & ~AVSEEK_FORCE);
    if (place < 0)
        return AVERROR(errno);
    return m_place = place;
}

int Demuxer::seek(int stream, std::int64_t place, int flags)
{
    m_packets = 0;
    const int rc = av_seek_frame(m_format.get(), stream, place, flags);
    if (rc < 0)
        throwIfStopped();
    return rc;
}

int Demuxer::next(AVPacket& packet)
{
    constexpr int mostRetries = 1000; // a demuxer may ask for another call, but not for ever
    for (int retries = 0; retries < mostRetries;) {
        av_packet_unref(&packet);
        throwIfStopped();
        const int rc = av_read_frame(m_format.get(), &packet);
        if (rc == AVERROR(EAGAIN)) {
            ++retries;
            continue;
        }
        if (rc < 0) {
            throwIfStopped();
            return rc;
        }
        if (packet.stream_index != m_stream->index)
            continue;
        if (++m_packets > m_mostPackets)
            throw Error(ErrorKind::Unsupported, m_name + " holds more than " + std::to_string(m_mostPackets)
                                                    + " coded pictures, the most that one file may have; split it.");
        return 0;
    }
    return AVERROR(EIO);
}

std::int64_t Demuxer::bytesRead() const
{
    return m_format->pb ? std::clamp<std::int64_t>(avio_tell(m_format->pb), 0, m_version.size) : 0;
}

Seeking Demuxer::seeking() const
{
    const char* kind = m_format->iformat->name;
    if (isAmong(kind, "mpegts,mpeg,flv") || isBareStream())
        return Seeking::ByPosition;
    return isAmong(kind, "avi") ? Seeking::ByDecoding : Seeking::ByPresentation;
}

bool Demuxer::isBareStream() const
{
    return isAmong(m_format->iformat->name, "h264,hevc,m4v,mjpeg,mpegvideo,vc1,obu,av1,dirac");
}

bool Demuxer::hasEditLists() const { return isAmong(m_format->iformat->name, "mov"); }

bool Demuxer::reckonsStamps() const { return isAmong(m_format->iformat->name, "mxf"); }

bool Demuxer::hasChunkCountsOnly() const { return isAmong(m_format->iformat->name, "avi"); }

std::vector<std::int64_t> Demuxer::listedPositions() const
{
    constexpr std::int64_t chunkHead = 8; // the index points to the chunk, a packet to what the chunk holds
    std::vector<std::int64_t> positions;
    const int count = hasChunkCountsOnly() ? avformat_index_get_entries_count(m_stream) : 0;
    for (int i = 0; i < count; ++i) {
        const AVIndexEntry* entry = avformat_index_get_entry(m_stream, i);
        if (entry->size > 0)
            positions.push_back(entry->pos + chunkHead);
    }
    return positions;
}

} // namespace media
