#include "core/media/video_index.h"
#include "core/media/display_matrix.h"
#include "core/media/picture_hash.h"
#include "core/media/sequential_pass.h"
#include <algorithm>
#include <cmath>

namespace media {
namespace {

std::optional<timing::Rational> secondsOf(std::int64_t stamp, AVRational timeBase)
{
    // Differences of stamps have to fit as well, whatever a hostile file claims.
    constexpr std::int64_t limit = INT64_MAX / 4;
    if (stamp == AV_NOPTS_VALUE || std::abs(stamp) > limit / std::max(timeBase.num, 1))
        return std::nullopt;
    return timing::Rational(stamp * timeBase.num, timeBase.den);
}

std::optional<timing::Rational> rateOf(AVRational rate)
{
    if (rate.num <= 0 || rate.den <= 0)
        return std::nullopt;
    return timing::Rational(rate.num, rate.den);
}

void addTags(std::map<std::string, std::string>& tags, const AVDictionary* entries)
{
    const AVDictionaryEntry* entry = nullptr;
    while ((entry = av_dict_get(entries, "", entry, AV_DICT_IGNORE_SUFFIX)))
        tags[entry->key] = entry->value;
}

/// Decodes once with the given threads.
class Indexing {
public:
    Indexing(const std::filesystem::path& path, Threading threading, std::stop_token stop, const Progress& progress)
        : m_container(path, stop), m_decoder(m_container.decoder(), m_container.stream(), threading, m_complaints),
          m_footage(std::make_shared<Footage>()), m_packets(std::make_shared<PacketTable>()), m_progress(progress),
          m_stopAtTrouble(threading != Threading::One)
    {
        m_footage->path = path;
        m_packets->fileSize = m_container.fileSize();
        m_packets->oneThread = !m_stopAtTrouble;
    }

    /// Null when damage was met that has to be decoded with one thread.
    std::shared_ptr<const Footage> run();

private:
    struct SawTrouble {};

    void takePacket(const PacketMark& mark);
    void takePicture(const AVFrame& frame, std::int64_t ordinal);
    void takeTrouble(Trouble trouble);
    void describe();
    void dropUnfoundedStamps();
    void findUnreadPackets();
    void placeComplaints();
    void nameFault(int end);

    Complaints m_complaints;
    Container m_container;
    Decoder m_decoder;
    std::shared_ptr<Footage> m_footage;
    std::shared_ptr<PacketTable> m_packets;
    const Progress& m_progress;
    bool m_stopAtTrouble;
    std::vector<Trouble> m_troubles;
};

std::shared_ptr<const Footage> Indexing::run()
{
    PassEvents events;
    events.packet = [this](const PacketMark& mark) { takePacket(mark); };
    events.picture = [this](FramePtr frame, std::int64_t ordinal) { takePicture(*frame, ordinal); };
    events.trouble = [this](Trouble trouble) { takeTrouble(std::move(trouble)); };
    int end = 0;
    try {
        end = decodeAll(m_container, m_decoder, m_complaints, events);
        findUnreadPackets();
        placeComplaints();
    } catch (const SawTrouble&) {
        return nullptr;
    }
    if (m_footage->frames.empty())
        throw core::Error(core::ErrorKind::Unreadable,
                          "Not one frame of " + m_container.name() + " can be decoded"
                              + (m_troubles.empty() ? std::string() : " (" + m_troubles.front().detail + ")") + ".");
    // A film may begin anywhere in its stream: nothing is lost that was never to be shown.
    std::erase_if(m_troubles, [first = m_footage->frames.front().ordinal](const Trouble& trouble) {
        return trouble.harm == Harm::LostBefore && trouble.ordinal <= first;
    });
    describe();
    dropUnfoundedStamps();
    markDamage(*m_footage, m_troubles);
    nameFault(end);
    m_footage->packets = m_packets;
    if (m_progress)
        m_progress(m_packets->fileSize, m_packets->fileSize);
    return m_footage;
}

void Indexing::takePacket(const PacketMark& mark)
{
    m_packets->marks.push_back(mark);
    if (m_progress)
        m_progress(m_container.bytesRead(), m_packets->fileSize);
}

void Indexing::takePicture(const AVFrame& frame, std::int64_t ordinal)
{
    if (m_footage->frames.empty()) {
        m_footage->size = {frame.width, frame.height};
        const char* format = av_get_pix_fmt_name(static_cast<AVPixelFormat>(frame.format));
        m_footage->pixelFormat = format ? format : "unknown";
        if (frame.sample_aspect_ratio.num > 0 && frame.sample_aspect_ratio.den > 0)
            m_footage->pixelAspect = {frame.sample_aspect_ratio.num, frame.sample_aspect_ratio.den};
    }
    m_footage->interlaced = m_footage->interlaced || isInterlaced(frame);

    FrameEntry entry;
    entry.ordinal = ordinal;
    entry.stamp = secondsOf(m_packets->marks[static_cast<std::size_t>(ordinal)].pts, m_container.stream().time_base);
    entry.cleanEntry = isKeyFrame(frame);
    entry.hash = hashOf(frame);
    m_footage->frames.push_back(entry);
}

void Indexing::takeTrouble(Trouble trouble)
{
    if (m_stopAtTrouble)
        throw SawTrouble();
    m_troubles.push_back(std::move(trouble));
}

void Indexing::findUnreadPackets()
{
    // The demuxer skips what it can't make sense of without a word; an index that otherwise fits tells.
    const std::vector<std::int64_t> listed = m_container.listedPositions();
    auto next = listed.begin();
    std::vector<Trouble> lost;
    for (std::size_t ordinal = 0; ordinal < m_packets->marks.size(); ++ordinal) {
        if (m_packets->marks[ordinal].size == 0)
            continue;
        const auto found = std::find(next, listed.end(), m_packets->marks[ordinal].position);
        if (found == listed.end())
            return; // the index is another's
        if (found != next)
            lost.push_back({static_cast<std::int64_t>(ordinal), Harm::LostBefore, "packets that the index lists can't be read"});
        next = found + 1;
    }
    if (next != listed.end())
        lost.push_back({static_cast<std::int64_t>(m_packets->marks.size()), Harm::LostBefore,
                        "packets that the index lists can't be read"});
    for (Trouble& trouble : lost)
        takeTrouble(std::move(trouble));
}

void Indexing::describe()
{
    const AVFormatContext& format = m_container.format();
    const AVStream& stream = m_container.stream();
    m_footage->container = format.iformat->name;
    m_footage->codec = avcodec_get_name(stream.codecpar->codec_id);
    m_footage->rotation = clockwiseTurn(reinterpret_cast<const std::int32_t*>(
        av_stream_get_side_data(&stream, AV_PKT_DATA_DISPLAYMATRIX, nullptr)));
    if (stream.sample_aspect_ratio.num > 0 && stream.sample_aspect_ratio.den > 0) // the container's word outranks the codec's
        m_footage->pixelAspect = {stream.sample_aspect_ratio.num, stream.sample_aspect_ratio.den};
    m_footage->timeBase = {stream.time_base.num, stream.time_base.den};
    m_footage->streamIndex = stream.index;
    // libav assumes 25 for a bare stream; only what the coded stream itself says counts.
    m_footage->averageRate = rateOf(m_container.isBareStream() ? m_decoder.context().framerate : stream.avg_frame_rate);
    addTags(m_footage->tags, format.metadata);
    addTags(m_footage->tags, stream.metadata);
}

void Indexing::dropUnfoundedStamps()
{
    std::vector<FrameEntry>& frames = m_footage->frames;
    // AVI counts chunks in decoding order. That is a stamp only where nothing is reordered; where it is, libav stamps
    // some pictures and leaves others out.
    const bool reordered =
        m_container.hasChunkCountsOnly()
        && (!std::is_sorted(frames.begin(), frames.end(),
                            [](const FrameEntry& a, const FrameEntry& b) { return a.ordinal < b.ordinal; })
            || std::any_of(frames.begin(), frames.end(), [](const FrameEntry& entry) { return !entry.stamp; }));
    if (reordered || m_container.isBareStream())
        for (FrameEntry& entry : frames)
            entry.stamp.reset();
}

void Indexing::placeComplaints()
{
    // What the demuxer complained about lies between the packets before and after that position.
    const std::vector<PacketMark>& marks = m_packets->marks;
    for (const std::int64_t position : m_container.complaints().positions()) {
        const auto after = std::find_if(marks.begin(), marks.end(), [&](const PacketMark& mark) { return mark.position >= position; });
        takeTrouble({after - marks.begin(), Harm::LostBefore, m_container.complaints().latest()});
    }
}

void Indexing::nameFault(int end)
{
    if (end == AVERROR_EOF && m_troubles.empty())
        return;
    const std::string detail = end != AVERROR_EOF ? reasonOf(end) : m_troubles.front().detail;
    const std::string count = std::to_string(m_footage->frames.size()) + " frames can be had";
    const std::int64_t first = m_footage->frames.front().ordinal;
    const bool onlyBeforeFirst = std::all_of(m_troubles.begin(), m_troubles.end(),
                                             [&](const Trouble& trouble) { return trouble.ordinal < first; });
    if (end == AVERROR_EOF && onlyBeforeFirst && m_footage->doubts.empty())
        m_footage->fault = m_container.name() + " begins amid pictures that build on earlier ones; frame 0 is the first that can be "
                           "decoded, " + std::to_string(first) + " packets before it can't (" + detail + ").";
    else if (onlyAtTheEnd(m_troubles, static_cast<std::int64_t>(m_packets->marks.size())))
        m_footage->fault = m_container.name() + " breaks off: " + count
                           + (m_footage->doubts.empty() ? "" : ", the last in doubt") + " (" + detail + ").";
    else
        m_footage->fault = m_container.name() + " is damaged: " + count
                           + (m_footage->doubts.empty() ? ", others may be missing" : ", some of them in doubt") + " (" + detail
                           + ").";
}

} // namespace

std::shared_ptr<const Footage> indexVideo(const std::filesystem::path& path, std::stop_token stop, const Progress& progress)
{
    if (auto footage = Indexing(path, Threading::Throughput, stop, progress).run())
        return footage;
    // What a decoder makes of damage depends on its threads; with one it is the same every time.
    return Indexing(path, Threading::One, stop, progress).run();
}

} // namespace media
