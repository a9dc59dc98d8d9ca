#pragma once
#include "core/timing/slowed_pieces.h"
#include <filesystem>
#include <string>

namespace media {

/// The parts of a film that its slow-motion block, behind everything else in the file, asks players to slow down.
struct SlowSegments {
    std::vector<timing::SlowedSegment> segments; ///< ascending, without overlap
    std::string unread;        ///< text of a "super slow motion" block; how its numbers are meant isn't published
    bool damaged = false;      ///< the block contradicts itself; then there are none
    std::string words() const; ///< "1500 to 2300 ms 8 times slower; ..."
};

/// None for other files, and where there is no such file. Reads at most 1 MB. Never throws.
SlowSegments slowSegments(const std::filesystem::path& file);

} // namespace media
