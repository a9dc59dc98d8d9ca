#pragma once
#include "core/media/index/footage.h"
#include "core/timing/packet_place.h"

namespace media {

/// Where the picture of frame `n` comes from. Precondition: `n` is in the footage.
timing::PacketPlace packetOf(const Footage& footage, timing::FrameNumber n);

/// The frame that comes from a packet; empty where none does.
std::optional<timing::FrameNumber> frameFrom(const Footage& footage, const timing::PacketPlace& packet);

timing::FramesByPacket framesByPacket(const Footage& footage);

} // namespace media
