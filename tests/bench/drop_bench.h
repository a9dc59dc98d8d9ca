#pragma once
#include "tests/bench/films.h"

namespace bench {

/// From the drop of a film to its first picture, as the desk takes it in: alone, with 4 GiB more in its file, and of
/// ten dropped at once where the first is broken or on a slow disk. Only films in MP4; no rows for others.
Rows measureDrops(const Film& film, const Effort& effort);

} // namespace bench
