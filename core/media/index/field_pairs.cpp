#include "core/media/index/field_pairs.h"

namespace media {

FieldPairs::FieldPairs(const AVStream& stream)
{
    switch (stream.codecpar->codec_id) {
    case AV_CODEC_ID_H264:
    case AV_CODEC_ID_MPEG2VIDEO:
    case AV_CODEC_ID_VC1: break;
    default: // can't code fields apart, or libav gives them as pictures of their own (HEVC)
        return;
    }
    m_parser.reset(av_parser_init(stream.codecpar->codec_id));
    if (!m_parser)
        return;
    m_parser->flags |= PARSER_FLAG_COMPLETE_FRAMES;
    m_context = allocated(CodecPtr(avcodec_alloc_context3(nullptr)), "a parser");
    check(avcodec_parameters_to_context(m_context.get(), stream.codecpar), "The stream can't be described");
}

bool FieldPairs::isSecond(const AVPacket& packet)
{
    constexpr int enough = 16; // packets: interlaced material says so in each
    if (!m_parser || packet.size <= 0)
        return false;
    std::uint8_t* bytes = nullptr; // the packet's own; only what the parser notes is wanted
    int size = 0;
    av_parser_parse2(m_parser.get(), m_context.get(), &bytes, &size, packet.data, packet.size, packet.pts, packet.dts,
                     packet.pos);
    const AVPictureStructure structure = m_parser->picture_structure;
    const bool field = structure == AV_PICTURE_STRUCTURE_TOP_FIELD || structure == AV_PICTURE_STRUCTURE_BOTTOM_FIELD;
    m_sawInterlaced = m_sawInterlaced || field
                      || (m_parser->field_order != AV_FIELD_UNKNOWN && m_parser->field_order != AV_FIELD_PROGRESSIVE);
    if (++m_looked == enough && !m_sawInterlaced)
        m_parser.reset();
    if (field && m_open != AV_PICTURE_STRUCTURE_UNKNOWN && m_open != structure) {
        m_open = AV_PICTURE_STRUCTURE_UNKNOWN;
        return true;
    }
    m_open = field ? structure : AV_PICTURE_STRUCTURE_UNKNOWN;
    return false;
}

} // namespace media
