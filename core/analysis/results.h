#pragma once
#include "core/analysis/trial_outcome.h"
#include "core/stats/blocks.h"
#include "core/stats/budget.h"
#include "core/stats/clusters.h"
#include "core/stats/comparison.h"
#include "core/stats/rank_check.h"
#include "core/stats/summary.h"
#include "core/stats/trend.h"
#include <utility>
#include <vector>

namespace analysis {

inline constexpr int trialsForVerdict = 5; ///< on each side, as stats::compare has it

/// Trials read with a clock that isn't settled: camera frames from press to response, missing ones counted in.
struct FrameCounts {
    session::ClockId clock; ///< 0: the capture has none
    int trials = 0;         ///< >= 1
    std::int64_t least = 0, most = 0;
};

/// A trial whose delay stands apart from its configuration's others. It stays in.
struct Apart {
    session::TrialId trial;
    double delayMs = 0;
    bool far = false; ///< beyond the outer fence
};

/// What else the trials of a configuration show. None of it decides a verdict or takes a trial out. Trends and ranks
/// are left out where they would go through more than 500,000 pairs (1000 trials of one configuration).
struct Checks {
    std::optional<double> madMs;             ///< n >= 1; not scaled
    std::vector<Apart> apart;                ///< n >= 5; fences with the quartile distance at least a camera interval
    std::optional<stats::Trend> overTrials;  ///< n >= 8; in the order of `delaysMs`
    std::optional<stats::Trend> overRuns;    ///< 5 runs or more; of run means, in order of their first trial
    std::optional<stats::TwoGroups> groups;  ///< means at least 2 camera intervals apart
    std::optional<stats::Bunching> bunching; ///< at multiples of the refresh interval, where the configuration says it
    std::optional<double> refreshIntervals, gameFrames; ///< the mean in them, where the configuration says their rate
    std::optional<stats::RankCheck> ranks; ///< against the baseline, at the comparison's level; 5 trials on either side
    std::optional<stats::BlockDifferences> blocks; ///< where runs of baseline and configuration took turns
    std::vector<double>
        leftByBlockMs; ///< with blocks taken out: what each run leaves beside set-up and block, in order
};
inline constexpr double trendChance = 0.02; ///< a trend is told where its p is below this: our choice

struct ConfigurationResult {
    session::ConfigurationId configuration;
    std::string name; ///< on one line
    bool baseline = false;
    std::optional<int> planned; ///< trials, its own number where the plan has one for the baseline
    int trials = 0;             ///< tagged to it; the sum of the six counts below
    int n = 0;                  ///< in the mean
    int rejected = 0, notRead = 0, noReaction = 0, clockNotSettled = 0, noDelay = 0;
    int open = 0;                                               ///< among those not rejected
    int doubtful = 0;                                           ///< among n
    std::vector<std::pair<session::RejectReason, int>> rejects; ///< most frequent first
    std::vector<FrameCounts> frameCounts;
    std::vector<double> delaysMs; ///< those that count, in the order of `Results::trials`
    stats::Summary summary;       ///< of them
    std::optional<stats::MedianInterval> median;
    stats::MeanBudget mean; ///< shown() is the one to show
    int rejectedWithDelay = 0;
    std::optional<double> meanWithRejectsMs;     ///< with rejected trials that have a delay; empty when there are none
    std::optional<stats::Comparison> comparison; ///< with the baseline; empty for itself and without one
    std::string blocksLeftIn; ///< with a run sheet: why its blocks aren't taken out of the comparison, half a sentence
    Checks checks;
};

/// Results of an earlier session beside these, at their level.
struct EarlierResults {
    session::EarlierSessionId session;
    std::string title; ///< on one line
    /// Numbered as session::EarlierConfiguration; what a row is made of, the rest left out. `comparison` is with this
    /// session's baseline by way of the bridge (stats::acrossSessions()), by itself at the level; empty for the bridge
    /// and where there is no way.
    std::vector<ConfigurationResult> configurations;
    session::ConfigurationId here, there; ///< the bridge; 0 while none is chosen
};

/// Where what is warned about can be mended; nothing set: nowhere in particular.
struct Mend {
    session::TrialId trial{};
    session::CaptureId capture{};
    session::ClockId clock{};
    session::EarlierSessionId earlier{};
    bool plan = false;
};

struct Results {
    double level = 0.95;
    /// Configurations of the session less the baseline, with trials or not, so that levels don't move while they come
    /// in; 0 without a baseline. All held together at `level`.
    int comparisons = 0;
    bool pair = false;                 ///< of two configurations by themselves (pairOf()); `baseline` is the second
    session::ConfigurationId baseline; ///< 0 while not chosen
    std::optional<double> marginMs;
    std::optional<int> plannedTrials; ///< per configuration
    bool interim = false;             ///< a configuration has fewer trials than planned
    int untagged = 0;                 ///< trials without a configuration, rejected ones left out
    int unreadPresses = 0;            ///< proposed, and no trial has them
    int notLookedThrough = 0;         ///< captures with a lamp region, without trials or proposed presses
    std::vector<ConfigurationResult> configurations; ///< in the analyst's order
    std::vector<EarlierResults> earlier;             ///< in the order they were added; none of a pair
    std::vector<TrialOutcome> trials;                ///< by capture in the analyst's order, then press
    std::vector<std::string> warnings;               ///< one sentence each: what the reader of the figures should know
    std::vector<Mend> mends;                         ///< one a warning
    void warn(std::string sentence, Mend mend = {});
};

/// Of earlier sessions too: null when it isn't there.
const ConfigurationResult* findAnywhere(const Results&, session::ConfigurationId);

/// Everything there is to say of a session, from nothing but the session. Quick enough to run after each edit.
/// Error sources, each by identity: those of each settled clock (relative); one line time for each clock that doesn't
/// expose all rows at once, as far as it isn't known (see rolling_shutter.h); the scan-out of each display where delays
/// are brought to a common height; the lamp's lead and the onset rule where they have a width. Delays hold the
/// corrections (TrialOutcome::corrections). Phase is dropped for a capture whose refresh (known to half the last digit
/// typed) and rate show 3 cycles of their beat.
Results compute(const session::Document&);

/// Any two configurations compared by themselves, first less second: results of these two alone, with the second as
/// baseline and one comparison at `Plan::level`, which is none of those that are held together. All that takes Results
/// takes these. Preconditions: both are in the document and differ.
Results pairOf(const session::Document&, session::ConfigurationId first, session::ConfigurationId second);

const ConfigurationResult* find(const Results&, session::ConfigurationId); ///< null when it isn't there
const TrialOutcome* find(const Results&, session::TrialId);

/// The trial that shows what a configuration is like: of those that count the one whose delay lies nearest to their
/// median, the earliest of equals. Empty where none counts.
std::optional<session::TrialId> typicalTrial(const Results&, session::ConfigurationId);

} // namespace analysis
