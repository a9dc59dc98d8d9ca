#pragma once
#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <utility>
#include <vector>

namespace footage {

/// One coded picture as it lies in a file.
struct StoredPacket {
    std::int64_t pts = 0;
    std::int64_t position = 0; ///< byte offset, as the demuxer tells it
    std::int64_t size = 0;     ///< coded bytes, without what the container wraps around them
    bool key = false;
};

/// The video packets of a film, in file order.
std::vector<StoredPacket> listPackets(const std::filesystem::path& path);

/// Copies the packets for which `keep(place in file order)` holds into another container, stamps unchanged.
void remux(const std::filesystem::path& from, const std::filesystem::path& to,
           const std::function<bool(std::size_t)>& keep,
           const std::vector<std::pair<std::string, std::string>>& muxerOptions = {});

/// Cuts the file off after `bytes`.
void cutOff(const std::filesystem::path& path, std::int64_t bytes);

} // namespace footage
