#pragma once // not public: only core/media may include it
#include "core/error.h"
#include <cstdint>
#include <filesystem>
#include <string>

namespace media {

/// Why a file that libav wouldn't open isn't footage, as far as its name and first bytes tell. `reason` is libav's.
core::Error refusal(const std::filesystem::path& path, const std::string& reason);

/// At odds with what was opened.
core::Error changedSinceOpened(const std::filesystem::path& path);

/// `name`: the file's, quoted.
core::Error makersRaw(const std::string& name);

inline std::string quoted(const std::filesystem::path& path) { return "\"" + path.string() + "\""; }

/// "scheme://..."
bool isAddress(const std::filesystem::path& path);

/// By the ending of its name: a camera maker's recording of sensor samples.
bool hasMakersRawName(const std::filesystem::path& path);
/// By the container's four letters for its coding.
bool isMakersRawTag(std::uint32_t tag);

} // namespace media
