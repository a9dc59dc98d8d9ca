#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"

namespace media {

/// Finds the packets that hold the second field of a picture whose first field came in the packet before. Looks into
/// all packets only where the first ones are interlaced in some way.
class FieldPairs {
public:
    explicit FieldPairs(const AVStream& stream);

    /// For each packet in file order.
    bool isSecond(const AVPacket& packet);
    bool sawInterlaced() const { return m_sawInterlaced; }

private:
    ParserPtr m_parser; ///< null: nothing to find any more
    CodecPtr m_context;
    int m_looked = 0;
    bool m_sawInterlaced = false;
    AVPictureStructure m_open = AV_PICTURE_STRUCTURE_UNKNOWN; ///< the field that waits for its other half
};

} // namespace media
