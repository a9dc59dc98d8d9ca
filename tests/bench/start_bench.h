#pragma once
#include "tests/bench/rows.h"
#include <filesystem>

namespace bench {

/// From the start of the workstation to its first painted window, off screen. Its settings and drafts are kept in
/// `folder`.
Rows measureStart(const std::filesystem::path& workstation, const std::filesystem::path& folder, const Effort& effort);

} // namespace bench
