#pragma once
#include "core/session/document.h"
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace analysis {

inline constexpr int fewestReread = 20; ///< or all where there are fewer: common practice, no source

/// Trials that can be read again: accepted with both marks and not rejected, no reading of them half done.
std::vector<session::TrialId> rereadable(const session::Document&);
/// How many of `from` trials a share of 0..1 asks for: rounded up, at least fewestReread, at most all.
int rereadCount(double share, int from);

/// Why nothing can be drawn, one sentence; empty when something can.
std::string rereadProblem(const session::Document&);

/// Draws trials evenly from the configurations and shuffles them; `seed` 0 to session::limits::number, alike on every
/// machine. Each comes with the frames to show: all excerpts are of one length unless another trial's marks or an end
/// of the footage cut it short, and the press lies at a random place in the first part of it, so that neither place nor
/// length gives a mark away. `share` above 0, at most 1. Precondition: no problem.
session::Reread drawReread(const session::Document&, double share, std::int64_t seed);

/// How far the blind reading is: trials that are there, those read (or rejected), and the first place that isn't.
struct RereadState {
    int total = 0, done = 0;
    std::optional<std::size_t> next; ///< index in places
};
RereadState rereadState(const session::Document&);
/// The same place, and after the last the first one, that waits; empty when all are read.
std::optional<std::size_t> nextPlace(const session::Document&, std::size_t from);

} // namespace analysis
