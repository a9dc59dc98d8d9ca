#include "core/media/index/packet_places.h"
#include "core/media/index/parts.h"

namespace media {

timing::PacketPlace packetOf(const Footage& footage, timing::FrameNumber n)
{
    return {footage.parts.empty() ? 0 : &partOf(footage, n) - footage.parts.data(), footage.frames[n.value].ordinal};
}

std::optional<timing::FrameNumber> frameFrom(const Footage& footage, const timing::PacketPlace& packet)
{
    if (packet.part != 0 && packet.part >= std::ssize(footage.parts))
        return std::nullopt;
    const auto part = static_cast<std::size_t>(packet.part);
    const Footage& file = footage.parts.empty() ? footage : *footage.parts[part].footage;
    const auto found = std::ranges::find(file.frames, packet.ordinal, &FrameEntry::ordinal);
    if (found == file.frames.end())
        return std::nullopt;
    const timing::FrameNumber first = footage.parts.empty() ? timing::FrameNumber{} : footage.parts[part].first;
    return first + timing::FrameCount{found - file.frames.begin()};
}

timing::FramesByPacket framesByPacket(const Footage& footage)
{
    timing::FramesByPacket frames;
    frames.reserve(footage.frames.size());
    for (timing::FrameNumber n; n.value < footage.frameCount().value; ++n.value)
        frames.push_back({packetOf(footage, n), n});
    std::ranges::stable_sort(frames, {}, &timing::PacketFrame::packet);
    const auto again =
        std::unique(frames.begin(), frames.end(), [](const auto& a, const auto& b) { return a.packet == b.packet; });
    frames.erase(again, frames.end());
    return frames;
}

} // namespace media
