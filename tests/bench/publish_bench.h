#pragma once
#include "tests/bench/rows.h"
#include <filesystem>

namespace bench {

/// What publishing takes below the window: movies of 10 s beside a bare encode of the same pictures, and the texts of a
/// session of many trials. Movies are written into `folder`.
Rows measurePublishing(const std::filesystem::path& folder, const Effort& effort);

} // namespace bench
