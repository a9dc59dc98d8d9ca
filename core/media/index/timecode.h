#pragma once
#include <cstdint>
#include <optional>
#include <string>

namespace media {

/// Frames counted since midnight by a timecode "HH:MM:SS:FF" at `rate` frames a second (24, 25, 30, 50, 60, ...); with
/// ';' or '.' before the frames it leaves out numbers at each minute but every tenth (SMPTE ST 12-1), as 29.97
/// and 59.94 need. Empty for anything else.
std::optional<std::int64_t> framesOfTimecode(const std::string& timecode, int rate);

} // namespace media
