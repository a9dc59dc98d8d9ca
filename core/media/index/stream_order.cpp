#include "core/media/index/stream_order.h"
#include <algorithm>
#include <tuple>

namespace media {
namespace {

/// Bytes before each unit of a packet, by the stream's configuration record (ISO/IEC 14496-15, avcC and hvcC); 0 for
/// start codes.
int lengthBytes(const AVCodecParameters& stream)
{
    const bool record = stream.extradata_size > 0 && stream.extradata[0] == 1;
    if (!record)
        return 0;
    if (stream.codec_id == AV_CODEC_ID_H264)
        return stream.extradata_size >= 7 ? (stream.extradata[4] & 3) + 1 : 0;
    return stream.extradata_size >= 23 ? (stream.extradata[21] & 3) + 1 : 0;
}

/// Calls `visit` with the first byte of each unit until it returns true.
template <class Visit> void eachUnit(const AVPacket& packet, int lengths, const Visit& visit)
{
    const std::uint8_t* at = packet.data;
    const std::uint8_t* end = packet.data + packet.size;
    if (lengths > 0) {
        while (end - at > lengths) {
            std::int64_t size = 0;
            for (int i = 0; i < lengths; ++i)
                size = size << 8 | *at++;
            if (visit(*at) || size <= 0 || size >= end - at)
                return;
            at += size;
        }
        return;
    }
    for (; end - at > 3; ++at)
        if (at[0] == 0 && at[1] == 0 && at[2] == 1 && visit(at[3]))
            return;
}

} // namespace

StreamOrder::StreamOrder(const AVStream& stream)
    : m_codec(stream.codecpar->codec_id), m_lengthBytes(lengthBytes(*stream.codecpar)),
      m_parser(allocated(ParserPtr(av_parser_init(stream.codecpar->codec_id)), "a parser")),
      m_context(allocated(CodecPtr(avcodec_alloc_context3(nullptr)), "a parser"))
{
    m_parser->flags |= PARSER_FLAG_COMPLETE_FRAMES;
    check(avcodec_parameters_to_context(m_context.get(), stream.codecpar), "The stream can't be described");
}

void StreamOrder::add(const AVPacket& packet)
{
    std::uint8_t* bytes = nullptr; // the packet's own; only what the parser notes is wanted
    int size = 0;
    av_parser_parse2(m_parser.get(), m_context.get(), &bytes, &size, packet.data, packet.size, packet.pts, packet.dts,
                     packet.pos);
    const std::int64_t before = m_places.empty() ? 0 : m_places.back().sequence;
    m_places.push_back({before + (beginsSequence(packet) ? 1 : 0), m_parser->output_picture_number});
}

AVRational StreamOrder::rate() const
{
    // H.264 counts ticks of fields (E.2.1, num_units_in_tick), and libav's parser, unlike its decoder, leaves it at
    // that.
    const AVRational ticks = m_context->framerate;
    return m_codec == AV_CODEC_ID_H264 ? av_mul_q(ticks, {1, 2}) : ticks;
}

bool StreamOrder::beginsSequence(const AVPacket& packet) const
{
    bool begins = false;
    eachUnit(packet, m_lengthBytes, [&](std::uint8_t head) {
        if (m_codec
            == AV_CODEC_ID_H264) { // nal_unit_type (H.264, table 7-1): 1 to 5 are slices, 5 of an instant refresh
            const int type = head & 31;
            begins = type == 5;
            return type >= 1 && type <= 5;
        }
        const int type = head >> 1 & 63; // H.265, table 7-1: below 32 slices, 16 to 20 after which nothing refers back
        begins = type >= 16 && type <= 20;
        return type < 32;
    });
    return begins;
}

std::vector<std::int64_t> StreamOrder::order(const std::vector<std::int64_t>& shown) const
{
    const auto placeOf = [&](std::int64_t ordinal) {
        const Place& place = m_places[ordinal];
        return std::tuple(place.sequence, place.number);
    };
    std::vector<std::int64_t> sorted = shown;
    if (sorted.empty())
        return {};
    const auto first = placeOf(sorted.front());
    std::erase_if(sorted, [&](std::int64_t ordinal) { return placeOf(ordinal) < first; });
    std::ranges::sort(sorted, {}, placeOf);
    const auto twin = std::ranges::adjacent_find(sorted, {}, placeOf);
    return twin == sorted.end() ? sorted : std::vector<std::int64_t>();
}

} // namespace media
