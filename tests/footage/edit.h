#pragma once
// Films changed after they were made: packet by packet, or byte by byte where no muxer would write such a thing.
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace footage {

inline constexpr std::int64_t noStamp = INT64_MIN;

/// One coded picture taken out of its container. Stamps in ticks of the film's time base, noStamp for none.
struct LoosePacket {
    std::int64_t pts = noStamp, dts = noStamp, duration = 0;
    std::int64_t position = 0; ///< byte offset in the film, as the demuxer tells it
    bool key = false;
    std::string bytes;
};

/// The video packets of a film, in file order.
std::vector<LoosePacket> takePackets(const std::filesystem::path& film);

/// Puts packets into a new container by the extension of `to`, in this order; what describes the stream comes from
/// `like`. `filter`: a libav bitstream filter to send them through, or empty.
void putPackets(const std::vector<LoosePacket>& packets, const std::filesystem::path& like,
                const std::filesystem::path& to, const std::string& filter = {});

std::string readBytes(const std::filesystem::path& file);
void writeBytes(const std::filesystem::path& file, const std::string& bytes);

/// Renames a four-letter box or chunk wherever it occurs, so that no reader knows it. Throws when there is none.
void renameBoxes(const std::filesystem::path& file, const std::string& name, const std::string& to);

/// Big-endian, in place.
void put32(std::string& bytes, std::size_t at, std::uint32_t value);

} // namespace footage
