#pragma once
#include "tests/footage/av.h"

namespace footage {

/// A quiet 440 Hz tone as the next stream of a container: AAC where the container can, else 16-bit PCM.
class AudioTone {
public:
    explicit AudioTone(AVFormatContext& output);

    /// The next packet that begins before `seconds`, ready to write, or null. Valid until the next call.
    AVPacket* next(double seconds);

private:
    bool encodeMore();

    AVStream* m_stream;
    CodecPtr m_context;
    FramePtr m_frame;
    PacketPtr m_packet;
    std::int64_t m_samples = 0;
};

} // namespace footage
