#pragma once
#include "core/analysis/capture_clock.h"
#include "core/analysis/trial_outcome.h"

namespace analysis {

/// trialOutcome() where the capture's clock is made once for many trials. Inside core/report only.
TrialOutcome outcomeInCapture(const session::Document&, const session::Trial&, const session::Capture&,
                              const CaptureClock&);

} // namespace analysis
