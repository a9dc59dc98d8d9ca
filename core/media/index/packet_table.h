#pragma once // not public: only core/media may include it
#include <cstdint>
#include <vector>

namespace media {

/// One packet of the chosen stream as the container delivers it. Its place in file order is its ordinal.
struct PacketMark {
    std::int64_t position = -1; ///< byte in the file, -1 when the container doesn't say
    std::int64_t pts = 0;       ///< AV_NOPTS_VALUE when there is none
    std::int64_t dts = 0;
    std::int32_t size = 0;
    std::int32_t flags = 0; ///< AV_PKT_FLAG_*

    bool operator==(const PacketMark&) const = default;
};

/// What is needed to find a place in the file again.
struct PacketTable {
    std::vector<PacketMark> marks;
    std::int64_t fileSize = 0;
    std::int64_t fileTime =
        0; ///< last written; unconfirmed footage has no hashes that would tell another file of the same size
    bool oneThread = false; ///< damaged: pictures were made with one thread and only so come out the same again
};

} // namespace media
