#pragma once // not public: only core/media may include it
#include "core/media/index/footage.h"

namespace media {

/// Lower-case hex. Throw core::Error (NotFound, Unreadable), core::Cancelled; progress counts bytes.
std::string sha256OfFile(const std::filesystem::path& path, const std::stop_token& stop, const Progress& progress);
/// Of the lines "HASH  NAME\n", one a file in the given order.
std::string sha256OfList(const std::vector<std::filesystem::path>& files, const std::stop_token& stop,
                         const Progress& progress);

} // namespace media
