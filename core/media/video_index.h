#pragma once // not public: only core/media may include it
#include "core/media/footage.h"

namespace media {

/// openFootage() for a file: decodes everything once.
std::shared_ptr<const Footage> indexVideo(const std::filesystem::path& path, std::stop_token stop, const Progress& progress);

} // namespace media
