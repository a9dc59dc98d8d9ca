#pragma once
#include "tests/bench/films.h"

namespace bench {

/// Opening, stepping, jumping, traces and memory of one film. `program` is this program's own path: memory is measured
/// in a process of its own.
Rows measureFootage(const Film& film, const Effort& effort, const std::filesystem::path& program);

/// Goes through the whole film and back with that cache budget; returns the process' memory peak in MiB.
double memoryPeak(const std::filesystem::path& film, std::size_t budgetBytes);

} // namespace bench
