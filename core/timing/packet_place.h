#pragma once
#include "core/timing/units.h"
#include <algorithm>
#include <optional>
#include <vector>

namespace timing {

/// Where a picture comes from in its footage. Scanning and decoding agree on it, whatever number they give the frame.
struct PacketPlace {
    std::int64_t part = 0;    ///< file of a recording that the camera split, from 0
    std::int64_t ordinal = 0; ///< packet of the moving picture in file order, or file of a picture folder, from 0
    auto operator<=>(const PacketPlace&) const = default;
};

struct PacketFrame {
    PacketPlace packet;
    FrameNumber frame;
};
using FramesByPacket = std::vector<PacketFrame>; ///< ascending by packet, each once

/// Empty: no frame comes from this packet.
inline std::optional<FrameNumber> frameFrom(const FramesByPacket& frames, const PacketPlace& packet)
{
    const auto found = std::ranges::lower_bound(frames, packet, {}, &PacketFrame::packet);
    return found == frames.end() || found->packet != packet ? std::nullopt : std::optional(found->frame);
}

} // namespace timing
