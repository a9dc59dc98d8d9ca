#pragma once
#include "tests/bench/films.h"
#include "tests/bench/rows.h"
#include <filesystem>

namespace bench {

/// What publishing takes: charts, the chart in motion and a clip of 10 s (of the first film, where there is one), each
/// beside a bare encode of the same pictures, and the texts of a session of many trials. Movies are written into
/// `folder`.
Rows measurePublishing(const std::filesystem::path& folder, const Effort& effort, const std::vector<Film>& films);

} // namespace bench
