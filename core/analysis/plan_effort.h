#pragma once
#include "core/analysis/results.h"
#include "core/session/edit.h"
#include "core/stats/planning.h"
#include <optional>
#include <string>
#include <vector>

/// How many runs and trials a plan takes, from what the session says and what its trials show so far.
namespace analysis {

/// What the trials that are there say of a plan.
struct PilotFigures {
    std::optional<stats::Pilot> spread; ///< of trials that count; a capture stands for a run where that isn't known
    int trials = 0, runs = 0;
    std::optional<double> cameraIntervalMs; ///< mean of those trials; without any that of the settled clocks
    std::optional<double> refreshHz;        ///< lowest of the configurations'
    std::optional<double> sharedMs;         ///< most that a comparison's clock, rows and other shared lines come to
    std::optional<double> rateRelative;     ///< without a comparison: the worst rate known, of the difference itself
};
PilotFigures pilotFigures(const session::Document&, const Results&);

/// One line of "what would it buy".
struct EffortOption {
    std::string name;                              ///< "camera at 960 a second", "runs of 2"
    std::optional<stats::PlannedEffort> forMargin; ///< what the margin takes that way; empty where nothing is enough
    std::optional<double> findsMs;                 ///< difference found with as many trials as planned, filmed that way
    double time = 0;                               ///< of `forMargin`, over the plan's; 0 without
};

struct PlanEffort {
    std::string missing;    ///< what has to be known first, one sentence; all else is empty then
    std::string impossible; ///< why no number of runs is enough, one sentence
    std::string basis;      ///< where the spreads come from, in words
    stats::Goal goal;
    stats::Spread spread;
    double sharedMs = 0;
    double mostSharedMs = 0; ///< what shared uncertainty may be at most for this margin
    std::optional<stats::PlannedEffort> effort;
    double findsMs = 0;                ///< with it
    std::vector<EffortOption> options; ///< first the plan itself
};

/// `basis` as the analyst has it now; fields left empty are taken from the session. Margin, level, baseline and
/// configurations are the document's.
PlanEffort planEffort(const session::Document&, const session::PlanBasis& basis, const PilotFigures&);
int comparisonsPlanned(const session::Document&, const session::PlanBasis&); ///< >= 1

/// The plan's numbers become those of the effort, its basis `basis`: trials and runs of each configuration, and of the
/// baseline where it gets others. Precondition: there is an effort.
session::Edit takeOverPlan(const session::Document&, const session::PlanBasis&, const stats::PlannedEffort&);

} // namespace analysis
