#include "core/media/index/packet_scan.h"
#include "core/media/index/description.h"
#include "core/media/index/field_pairs.h"
#include "core/media/index/packet_table.h"
#include "core/media/index/sequential_pass.h"
#include "core/media/index/stream_order.h"
#include <algorithm>

namespace media {
namespace {

/// A picture that is only for others to refer to.
bool isHidden(AVCodecID codec, const AVPacket& packet)
{
    if (packet.size < 1)
        return true;
    const std::uint8_t first = packet.data[0], last = packet.data[packet.size - 1];
    if (codec == AV_CODEC_ID_VP8) // frame tag: key frame, version (3 bits), show_frame (RFC 6386, 9.1)
        return !(first & 0x10);
    if (codec == AV_CODEC_ID_VP9) {
        // Hidden pictures usually share a packet with a shown one, which a superframe index at the end tells (annex B
        // of the VP9 bitstream specification). Else the head: marker (2), profile (2), show_existing_frame, frame_type,
        // show_frame.
        const bool superframe = (last & 0xe0) == 0xc0, lossless = (first & 0x30) == 0x30; // profile 3 has one bit more
        return !superframe && !lossless && !(first & 0x08) && !(first & 0x02);
    }
    return false;
}

bool mayReorder(AVCodecID codec)
{
    const AVCodecDescriptor* kind = avcodec_descriptor_get(codec);
    return kind && (kind->props & AV_CODEC_PROP_REORDER);
}

class Scan {
public:
    Scan(const std::filesystem::path& path, std::optional<int> stream, const std::stop_token& stop)
        : m_demuxer(path, stream, stop), m_codec(m_demuxer.stream().codecpar->codec_id), m_fields(m_demuxer.stream())
    {}

    /// False when damage was met.
    bool readPackets(const Progress& progress);
    /// Ordinals of the frames in presentation order; empty when neither stamps nor the pictures' heads tell.
    std::vector<std::int64_t> order(const std::filesystem::path& path, const std::stop_token& stop);
    std::shared_ptr<const Footage> footage(const std::filesystem::path& path, const std::vector<std::int64_t>& order);

private:
    const PacketMark& mark(std::int64_t ordinal) const { return m_packets->marks[ordinal]; }
    bool isKey(std::int64_t ordinal) const { return mark(ordinal).flags & AV_PKT_FLAG_KEY; }
    bool stampsTellOrder(const std::vector<std::int64_t>& shown) const;
    std::vector<std::int64_t> orderByHeads(const std::filesystem::path& path, const std::vector<std::int64_t>& shown,
                                           const std::stop_token& stop);

    Demuxer m_demuxer;
    AVCodecID m_codec;
    FieldPairs m_fields;
    std::shared_ptr<PacketTable> m_packets = std::make_shared<PacketTable>();
    AVRational m_codedRate{0, 1};      ///< what the coded pictures say, where their heads were read
    std::vector<std::int64_t> m_shown; ///< ordinals of packets that aren't hidden or discarded
};

bool Scan::readPackets(const Progress& progress)
{
    m_packets->file = m_demuxer.file();
    const PacketPtr packet = newPacket();
    int rc = 0;
    while ((rc = m_demuxer.next(*packet)) >= 0) {
        const PacketMark mark = markOf(*packet);
        if (mark.flags & AV_PKT_FLAG_CORRUPT)
            return false;
        const bool second = m_fields.isSecond(*packet);
        if (!second && !(mark.flags & AV_PKT_FLAG_DISCARD) && !isHidden(m_codec, *packet))
            m_shown.push_back(std::ssize(m_packets->marks));
        m_packets->marks.push_back(mark);
        if (progress)
            progress(m_demuxer.bytesRead(), m_packets->file.size);
    }
    return rc == AVERROR_EOF && m_demuxer.complaints().count() == 0;
}

std::vector<std::int64_t> Scan::order(const std::filesystem::path& path, const std::stop_token& stop)
{
    const auto count = std::ssize(m_packets->marks);
    std::int64_t firstKey = 0;
    while (firstKey < count && !isKey(firstKey))
        ++firstKey;
    if (firstKey == count)
        return {};
    std::vector<std::int64_t> shown;
    std::ranges::copy_if(m_shown, std::back_inserter(shown), [&](std::int64_t ordinal) { return ordinal >= firstKey; });
    if (!mayReorder(m_codec))
        return shown;
    if (m_demuxer.isBareStream() || m_demuxer.reckonsStamps() || !stampsTellOrder(shown))
        return StreamOrder::knows(m_codec) ? orderByHeads(path, shown, stop) : std::vector<std::int64_t>();
    // What comes before the first key picture in presentation order refers to pictures before the film's beginning.
    const std::int64_t begin = mark(firstKey).pts;
    std::erase_if(shown, [&](std::int64_t ordinal) { return begin != AV_NOPTS_VALUE && mark(ordinal).pts < begin; });
    std::ranges::stable_sort(shown, {}, [&](std::int64_t ordinal) { return mark(ordinal).pts; });
    return shown;
}

std::vector<std::int64_t> Scan::orderByHeads(const std::filesystem::path& path, const std::vector<std::int64_t>& shown,
                                             const std::stop_token& stop)
{
    Demuxer again(path, m_demuxer.stream().index, stop);
    StreamOrder heads(again.stream());
    const PacketPtr packet = newPacket();
    for (const PacketMark& mark : m_packets->marks) {
        if (again.next(*packet) < 0 || markOf(*packet) != mark)
            return {};
        heads.add(*packet);
    }
    m_codedRate = heads.rate();
    return heads.order(shown);
}

bool Scan::stampsTellOrder(const std::vector<std::int64_t>& shown) const
{
    std::vector<std::int64_t> stamps;
    bool reordered = false;
    std::int64_t latest = INT64_MIN;
    for (const std::int64_t ordinal : shown) {
        const std::int64_t stamp = mark(ordinal).pts;
        if (stamp == AV_NOPTS_VALUE)
            return false;
        if (isKey(ordinal) && stamp < latest) // nothing sent before a key picture is shown after it: stamps go back
            return false;
        reordered = reordered || stamp < latest;
        latest = std::max(latest, stamp);
        stamps.push_back(stamp);
    }
    if (!reordered && stamps.size() > 1
        && m_demuxer.stream().codecpar->video_delay > 0) // the decoder says otherwise: stamps count packets
        return false;
    std::sort(stamps.begin(), stamps.end());
    return !reordered || std::adjacent_find(stamps.begin(), stamps.end()) == stamps.end();
}

std::shared_ptr<const Footage> Scan::footage(const std::filesystem::path& path, const std::vector<std::int64_t>& order)
{
    auto footage = std::make_shared<Footage>();
    footage->path = path;
    const AVCodecParameters& kind = *m_demuxer.stream().codecpar;
    footage->size = {kind.width, kind.height};
    const char* format = av_get_pix_fmt_name(static_cast<AVPixelFormat>(kind.format));
    footage->pixelFormat = format ? format : "unknown";
    footage->pixelAspect = ratioOf(kind.sample_aspect_ratio).value_or(footage->pixelAspect);
    footage->interlaced =
        m_fields.sawInterlaced() || (kind.field_order != AV_FIELD_UNKNOWN && kind.field_order != AV_FIELD_PROGRESSIVE);
    describe(*footage, m_demuxer);

    const AVRational timeBase = m_demuxer.stream().time_base;
    footage->frames.reserve(order.size());
    for (const std::int64_t ordinal : order) {
        FrameEntry entry;
        entry.ordinal = ordinal;
        entry.stamp = secondsOf(mark(ordinal).pts, timeBase);
        entry.cleanEntry = isKey(ordinal);
        footage->frames.push_back(entry);
    }
    dropUnfoundedStamps(*footage, m_demuxer);
    if (m_demuxer.isBareStream())
        footage->averageRate = ratioOf(m_codedRate);
    footage->packets = m_packets;
    return footage;
}

} // namespace

std::shared_ptr<const Footage> scanPackets(const std::filesystem::path& path, std::optional<int> stream,
                                           const std::stop_token& stop, const Progress& progress)
{
    Scan scan(path, stream, stop);
    if (!scan.readPackets(progress))
        return nullptr;
    const std::vector<std::int64_t> order = scan.order(path, stop);
    if (order.empty())
        return nullptr;
    const auto footage = scan.footage(path, order);
    return footage->size.width > 0 && footage->size.height > 0 ? footage : nullptr;
}

} // namespace media
