#pragma once
#include "core/analysis/trial_outcome.h"
#include "core/session/document.h"
#include <string>
#include <vector>

namespace analysis {

/// What in a trial looks like a slip of the hand, going by the session alone: a sentence each that says what and what
/// to do, most telling first. None of it keeps a trial out of anything. Empty for a rejected trial. No sentence holds a
/// delay, so that the eye isn't led.
///
/// Told are: response at or before the press; response at or after the next press of the same lamp; a delay beyond the
/// event definition's limit; marks across missing frames, where no time can be told, or in footage that repeats
/// pictures; a delay far from the others of its run; a press that another trial with the same screen region has, or
/// has within 12 frames (with different screen regions one press serves both); a tag against the run sheet; pictures of
/// another size than those of other captures with that clock.
/// `outcomes`: of all trials, as in Results. Precondition: the trial is in the document.
std::vector<std::string> slipsOf(const session::Document&, const session::Trial&,
                                 const std::vector<TrialOutcome>& outcomes);

} // namespace analysis
