#pragma once
#include "core/timing/missing_frames.h"
#include "core/timing/rational.h"
#include <optional>
#include <vector>

namespace timing {

/// Of each frame in presentation order, in seconds; empty where the container gives none.
using Stamps = std::vector<std::optional<Rational>>;

/// What the stamps of one capture say, as they stand: nothing is repaired, merged or sorted.
/// Stamps are playback time until the analyst says otherwise; nothing here is capture time.
struct StampPattern {
    std::int64_t stamped = 0;          ///< frames that have a stamp
    double tick = 0;                   ///< seconds; what a stamp is rounded to
    std::optional<double> step;        ///< nominal step in seconds: the long-run step between neighbours, gaps left out
    std::optional<Rational> exactStep; ///< where every step is the same, gaps left out
    double relativeUncertainty =
        0;                  ///< standard, of `step`; what the stamps show, not how good the clock behind them was
    bool irregular = false; ///< stamps, but no nominal step: ramps, joined clips, chance. Then no gaps either
    bool variesAsRealTimes = false; ///< steps scatter beyond rounding around a nominal step, as measured times do
    bool gapsKnown = false;         ///< false: steps can't show a lost frame (too few, irregular, or below 0.6 tick)
    std::vector<Gap> gaps;          ///< a step of m nominal steps is m - 1 missing. Ticks longer than about a third of
                                    ///< the step place a gap only to within the frames between two uneven steps
    std::vector<FrameNumber> unclear;   ///< the step to this frame is no whole number of nominal steps and stays so
    std::vector<FrameNumber> repeats;   ///< stamp equal to the one before
    std::vector<FrameNumber> backward;  ///< stamp below the one before
    std::vector<FrameNumber> unstamped; ///< frames without a stamp

    /// 1 / step; empty without one.
    std::optional<double> rate() const { return step ? std::optional(1 / *step) : std::nullopt; }
};

/// `tick` is the time base, > 0. Never throws; fewer than 3 stamps give no step.
StampPattern stampPattern(const Stamps& stamps, const Rational& tick);

} // namespace timing
