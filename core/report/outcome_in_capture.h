#pragma once
#include "core/report/capture_clock.h"
#include "core/report/trial_outcome.h"

namespace report {

/// trialOutcome() where the capture's clock is made once for many trials. Inside core/report only.
TrialOutcome outcomeInCapture(const session::Document&, const session::Trial&, const session::Capture&, const CaptureClock&);

} // namespace report
