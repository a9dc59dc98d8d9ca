#pragma once
#include "core/report/results.h"

namespace report {

/// Plain text: question, onset rule, clocks and how known, configurations, n planned, read, rejected and why, runs, looks,
/// what the interval means, corrections, what the program was.
std::string methodNote(const session::Document& document, const Results& results, const std::string& programVersion);

} // namespace report
