#pragma once
#include "tests/bench/films.h"

namespace bench {

/// From the start of the workstation to its first painted window, off screen. Its settings and drafts are kept in
/// `folder`.
Rows measureStart(const std::filesystem::path& workstation, const std::filesystem::path& folder, const Effort& effort);

/// `tallyframe inspect` of a film, by its packets and with --decode, beside bare libav doing the same after the start
/// of the program.
Rows measureInspecting(const std::filesystem::path& workstation, const Film& film, const Effort& effort);

} // namespace bench
