#pragma once
#include "core/analysis/results.h"
#include <string>

namespace analysis {

/// Why the interval of a difference is as wide as it is and what would narrow it most, as numbers.
struct Narrowing {
    enum class Cause { Trials, Runs, Phase, Clock, Rows, Other };
    Cause cause = Cause::Trials; ///< the largest part of u^2
    double share = 0;            ///< of u^2, 0 to 1
    enum class Step { MoreRuns, FirstRuns, Clock, Rows };
    Step step = Step::MoreRuns; ///< FirstRuns: fewer than 4 runs so far, so that what changes between runs isn't in it
    int runs = 0, trialsPerRun = 0; ///< of each configuration, for more runs
    double halfWidthMs = 0;         ///< with that step; no promise, scatter staying as it is
};

/// Steps weighed: 4 more runs as those that are there, a clock without error, lamp and screen in the same rows; the one
/// that leaves the narrowest. Empty without an interval, or where none narrows it by a twentieth.
std::optional<Narrowing> narrowing(const Results&, const ConfigurationResult&);

/// "± 2.5 ms comes most of all from what changes from run to run."; from 9 tenths of u^2 on "nearly all". Empty where
/// narrowing() is, as the next.
std::string narrowingReason(const Results&, const ConfigurationResult&);
/// "4 more runs of 2 trials of each would bring ± 2.5 ms to about ± 1.6 ms."
std::string narrowingStep(const Results&, const ConfigurationResult&);

} // namespace analysis
