#pragma once // not public: only core/media may include it
#include <cstdint>
#include <filesystem>
#include <vector>

namespace media {

/// What tells one state of a file from another.
struct FileVersion {
    std::int64_t size = 0;
    std::int64_t time = 0; ///< last written, in the file system's ticks
    bool operator==(const FileVersion&) const = default;
};
/// Of a file that is gone, nothing in particular: reading it says so.
inline FileVersion versionOf(const std::filesystem::path& path)
{
    std::error_code noSize, noTime;
    const auto size = std::filesystem::file_size(path, noSize);
    const auto time = std::filesystem::last_write_time(path, noTime);
    return {noSize ? 0 : static_cast<std::int64_t>(size),
            noTime ? 0 : static_cast<std::int64_t>(time.time_since_epoch().count())};
}

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
    FileVersion file;       ///< unconfirmed footage has no hashes that would tell another file of the same size
    bool oneThread = false; ///< damaged: pictures were made with one thread and only so come out the same again
};

} // namespace media
