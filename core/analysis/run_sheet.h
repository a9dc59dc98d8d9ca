#pragma once
#include "core/session/document.h"
#include <cstdint>
#include <string>
#include <vector>

namespace analysis {

/// What the plan lacks for a run sheet, one sentence; empty when it lacks nothing.
std::string runSheetProblem(const session::Document&);

/// The planned runs in the order to film them: blocks one after the other, in each a run of every configuration in
/// random order, so that warm-up and drift fall on all alike and differences can be taken block by block. A baseline
/// with more runs of its own has them spread evenly over the blocks. Trials of a configuration are spread over its
/// runs, the first runs take one more. The same plan and seed (0 to session::limits::number) give the same order on
/// every machine. Precondition: no problem.
session::RunSheet drawRunSheet(const session::Document&, std::int64_t seed);

/// Names of the captures filmed for a line, in order.
std::vector<std::string> capturesOf(const session::Document&, const session::SheetLine&);

/// A capture that no line has yet, and the line it may belong to.
struct SheetProposal {
    session::CaptureId capture;
    std::optional<std::size_t>
        line; ///< next open one, or the next of the configuration it is tagged with; empty: none is left
    std::optional<std::size_t> expected; ///< where it is tagged against the order: the line that comes next
};

/// Captures without a run, in their order, held against the open lines in theirs. Captures that came in before the
/// sheet was drawn (a pilot) and lamp references are left out. Nothing is changed: the analyst accepts, chooses
/// another, or leaves it.
std::vector<SheetProposal> sheetProposals(const session::Document&);
/// What the sheet says against a capture's tag: "The sheet expects Powered hub next (line 4); run07 is tagged with
/// Direct." Also where a capture of a line was tagged otherwise since. Empty when it says nothing.
std::string sheetWarning(const session::Document&, session::CaptureId);

} // namespace analysis
