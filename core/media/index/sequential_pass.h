#pragma once // not public: only core/media may include it
#include "core/media/index/demuxer.h"
#include "core/media/index/damage.h"
#include "core/media/libav/decoder.h"
#include "core/media/index/packet_table.h"
#include <functional>

namespace media {

/// A broken stream may answer every call with an error; nothing sensible needs more tries than this.
inline constexpr int mostErrorsInARow = 1000;

/// Receives what plain decoding from the first packet to the last brings forth.
struct PassEvents {
    std::function<void(const PacketMark&)> packet;
    /// Each picture that the container wants shown, in presentation order.
    std::function<void(FramePtr, std::int64_t ordinal)> picture;
    std::function<void(Trouble)> trouble;
};

PacketMark markOf(const AVPacket& packet);

/// Packets before `firstDecoded` are only read. Runs to the end of what can be read; returns AVERROR_EOF or the error
/// that ended it. Throws core::Cancelled.
int decodeAll(Demuxer& demuxer, Decoder& decoder, const Complaints& complaints, const PassEvents& events,
              std::int64_t firstDecoded = 0);

} // namespace media
