#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"
#include <vector>

namespace media {

/// Presentation order of H.264 and HEVC pictures by the order numbers in their heads, for containers whose stamps don't
/// tell it.
class StreamOrder {
public:
    static bool knows(AVCodecID codec) { return codec == AV_CODEC_ID_H264 || codec == AV_CODEC_ID_HEVC; }

    /// Precondition: knows() the stream's codec.
    explicit StreamOrder(const AVStream& stream);

    /// Every packet in file order.
    void add(const AVPacket& packet);

    /// Frames a second as the stream itself says; 0/1 when it doesn't.
    AVRational rate() const;

    /// The ordinals of `shown` (ascending) in presentation order, without leading pictures of the first key picture.
    /// Empty when the numbers contradict each other.
    std::vector<std::int64_t> order(const std::vector<std::int64_t>& shown) const;

private:
    struct Place {
        std::int64_t sequence = 0; ///< counts the pictures after which numbers begin again
        int number = 0;
    };

    bool beginsSequence(const AVPacket& packet) const;

    AVCodecID m_codec;
    int m_lengthBytes = 0; ///< before each unit; 0: start codes
    ParserPtr m_parser;
    CodecPtr m_context;
    std::vector<Place> m_places;
};

} // namespace media
