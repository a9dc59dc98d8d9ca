#pragma once // not public: only core/media may include it
#include "core/media/index/footage.h"

namespace media {

/// Footage from a file by its packets alone, not confirmed. Null where packets don't tell (see scanFootage()).
/// Throws core::Error (NotFound, Unreadable, Unsupported), core::Cancelled.
std::shared_ptr<const Footage> scanPackets(const std::filesystem::path& path, std::optional<int> stream,
                                           const std::stop_token& stop, const Progress& progress);

} // namespace media
