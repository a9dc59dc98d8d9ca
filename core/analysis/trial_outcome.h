#pragma once
#include "core/analysis/corrections.h"
#include "core/session/document.h"
#include "core/timing/delay.h"
#include <optional>
#include <ranges>
#include <string>
#include <vector>

namespace analysis {

/// What becomes of a trial; the first that holds, in this order. Only those that count enter any mean.
enum class TrialState {
    Rejected,
    NotRead,         ///< no reading, a mark missing, or not accepted yet
    Untagged,        ///< no configuration
    NoReaction,      ///< read: nothing before the limit
    ClockNotSettled, ///< counts of camera frames, no ms
    NoDelay,         ///< a settled clock, but these marks give no delay: `sentence` says why
    Counts,
};
/// "counts", "rejected", "not read", "untagged", "no reaction", "clock not settled", "no delay".
const char* label(TrialState);

struct TrialOutcome {
    session::TrialId trial;
    session::CaptureId capture;
    session::ConfigurationId configuration; ///< 0 is none
    session::RunId run;                     ///< 0 is none
    session::ClockId clock;                 ///< what its press is read with; 0 is none
    session::ReadingId reading;             ///< the one that counts; 0 is none
    TrialState state = TrialState::NotRead;
    std::string sentence;  ///< why it doesn't count; empty where it does
    bool open = false;     ///< several readings differ and none is chosen: the first counts so far
    bool doubtful = false; ///< the reader isn't sure of a mark
    std::optional<timing::FrameNumber> press, response;
    /// Camera frames from press to response as numbered, and those known to be missing between; with both marks,
    /// whatever the clock. Response before press gives neither.
    std::optional<timing::FrameCount> counted, missing;
    /// Wherever both marks and a settled clock give one, whether the trial counts or not.
    std::optional<timing::TrialDelay> delay;
    Corrections corrections; ///< what `delay` holds beyond the count
};

/// Of these those that count, in order.
inline auto thatCount(const std::vector<TrialOutcome>& outcomes)
{
    return outcomes | std::views::filter([](const TrialOutcome& each) { return each.state == TrialState::Counts; });
}

/// One trial by itself, as in the results. Precondition: the trial is in the document.
/// An even clock counts missing frames in; a stamped one takes the capture's stamps times its slow-down.
TrialOutcome trialOutcome(const session::Document&, const session::Trial&);

/// All of a capture's trials, in the order of session::trialsOf(). Precondition: the capture is in the document.
std::vector<TrialOutcome> trialOutcomes(const session::Document&, session::CaptureId);

} // namespace analysis
