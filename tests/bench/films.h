#pragma once
#include "tests/bench/rows.h"
#include <filesystem>

namespace bench {

struct Film {
    std::string name; ///< what its rows are called
    std::filesystem::path path;
};

/// Makes the films whose file name holds `word` in `folder`, or finds them there from last time. Throws
/// std::runtime_error.
std::vector<Film> films(const std::filesystem::path& folder, const std::string& word, const Effort& effort);

/// One of 20,000 frames, made or found in the same way.
Film longFilm(const std::filesystem::path& folder, const Effort& effort);

} // namespace bench
