#pragma once
#include "core/analysis/results.h"
#include <string>

namespace report {

/// How the figures came about, as plain text to publish with them: question, what counts as press and reaction, camera
/// and clocks, trials planned, read and rejected, runs, looks, what the interval means, what wasn't corrected, the
/// footage with its checksums, the program's version. UTF-8, ends with a line feed. Equal sessions give equal notes.
std::string methodNote(const session::Document&, const analysis::Results&, const std::string& programVersion);

} // namespace report
