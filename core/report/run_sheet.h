#pragma once
#include "core/session/document.h"
#include <cstdint>
#include <string>
#include <vector>

namespace report {

/// One run to be filmed.
struct SheetRun {
    int block = 0;                          ///< from 1; a block holds one run of every configuration
    session::ConfigurationId configuration;
    int trials = 0;                         ///< >= 1
};

/// The planned runs in the order to film them: blocks one after the other, in each the configurations in random order, so
/// that warm-up and drift fall on all alike and differences can be taken block by block.
struct RunSheet {
    std::uint64_t seed = 0; ///< the same plan and seed give the same order on every machine
    std::vector<SheetRun> runs;
};

/// What the plan lacks for a run sheet, one sentence; empty when it lacks nothing.
std::string runSheetProblem(const session::Document&);
/// Trials of a configuration are spread over its runs, the first runs take one more. Precondition: no problem.
RunSheet runSheet(const session::Document&, std::uint64_t seed);

/// To print and tick off: one line a run, with room for the capture's name. UTF-8, at most 100 columns but for long names.
std::string runSheetText(const session::Document&, const RunSheet&);
/// A row for each run: place, block, configuration, group, trials; RFC 4180.
std::string runSheetCsv(const session::Document&, const RunSheet&);

} // namespace report
