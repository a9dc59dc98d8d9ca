#pragma once
#include "core/analysis/results.h"

/// What compute() is made of. Inside core/analysis only.
namespace analysis {

/// trialOutcome() where the capture's clock is made once for many trials.
TrialOutcome outcomeInCapture(const session::Document&, const session::Trial&, const session::Capture&,
                              const CaptureClock&);

/// Fills in `checks` of every configuration; comparisons are there already.
void addChecks(const session::Document&, Results&);

/// What the reader of the figures should know beside them. `withoutRegions`: trials that count and lack a lamp or
/// screen region.
void addWarnings(const session::Document&, Results&, int withoutRegions);

/// Puts the earlier sessions of the document beside `results`, which hold everything else already, and warns of what
/// makes them hard to compare with it.
void addEarlier(const session::Document&, Results&);

} // namespace analysis
