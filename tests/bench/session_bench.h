#pragma once
#include "tests/bench/rows.h"
#include <filesystem>

namespace bench {

/// Opening, editing and computing of a session of many trials, written into `folder`.
Rows measureSession(const std::filesystem::path& folder, const Effort& effort);

} // namespace bench
