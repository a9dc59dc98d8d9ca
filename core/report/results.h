#pragma once
#include "core/session/document.h"
#include "core/stats/comparison.h"
#include "core/stats/summary.h"
#include "core/timing/delay.h"
#include <string>
#include <vector>

namespace report {

/// Where a trial stands. Only Counts enters the statistics in ms.
enum class TrialState {
    Unread,        ///< no accepted, complete reading
    Untagged,      ///< read, without a configuration
    Rejected,
    NoReaction,    ///< read: nothing happened before the limit
    ClockNotSettled, ///< counted in camera frames, never ms
    NoDelay,       ///< time can't be told between its marks; `why` says the reason
    Counts,
};

/// One trial with its delay as far as it can be told.
struct TrialResult {
    session::TrialId trial;
    session::CaptureId capture;
    session::ConfigurationId configuration;
    session::RunId run;
    TrialState state = TrialState::Unread;
    std::string why;                           ///< one sentence where it doesn't count, else empty
    bool open = false;                         ///< several readings differ and none is chosen
    std::optional<timing::FrameCount> counted; ///< camera frames between the marks, missing ones not in it
    std::optional<timing::TrialDelay> delay;   ///< also for rejected trials that have marks and a settled clock
};

/// One configuration. Counts of what doesn't count stand beside the mean, always.
struct ConfigurationResult {
    session::ConfigurationId id;
    std::string name, group;
    std::vector<TrialResult> trials; ///< by capture in order, then by press
    int rejected = 0, noReaction = 0, unread = 0, open = 0, clockNotSettled = 0, noDelay = 0;
    stats::Summary summary;          ///< ms, of the trials that count
    stats::MeanBudget mean;
    std::optional<double> meanWithRejectsMs; ///< rejected trials with marks counted in; empty when there are none
    std::optional<stats::Summary> cameraFrames; ///< of trials whose clock isn't settled; counts, not ms
    std::optional<stats::Comparison> comparison; ///< with the baseline; empty for the baseline and without one
    int counting() const { return static_cast<int>(summary.n); }
};

struct Results {
    std::vector<ConfigurationResult> configurations; ///< in the session's order
    std::vector<TrialResult> untagged;
    session::ConfigurationId baseline;  ///< 0 while not chosen
    double level = 0.95;                ///< of the intervals of means
    int comparisons = 0;                ///< k: they hold together at `level`
    std::optional<double> marginMs;
    std::optional<int> plannedTrials;
    bool interim = false;               ///< any configuration that is compared is below the planned number
    std::vector<std::string> warnings;  ///< one sentence each
};

/// Pure: the same document gives the same results.
Results compute(const session::Document& document);

/// The delay of one pair of marks by the capture's settled clock; NoDelay says why there is none, without a clock too.
std::variant<timing::TrialDelay, timing::NoDelay> delayBetween(const session::Document& document,
                                                               const session::Capture& capture, std::int64_t press,
                                                               std::int64_t response);

/// Null when there is none of that number.
const ConfigurationResult* find(const Results& results, session::ConfigurationId id);

} // namespace report
