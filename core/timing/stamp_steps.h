#pragma once
#include "core/timing/stamp_pattern.h"

namespace timing {

/// So many steps between neighbouring frames lie from `from` up to `to`, in seconds.
struct StepBin {
    double from = 0, to = 0; ///< equal where all of them are the same
    std::int64_t count = 0;
};

/// Frames in a row whose steps from their predecessors are equal to within what stamps are rounded to.
struct StepRun {
    FrameNumber first; ///< the first frame reached by such a step
    std::int64_t steps = 0;
    double seconds = 0; ///< one step, on the mean
};

/// How the stamps of a file step from frame to frame, for the eye.
struct StampSteps {
    std::int64_t steps = 0;              ///< between neighbours that both have a stamp
    double mean = 0, median = 0, sd = 0; ///< seconds; 0 without steps
    double shortest = 0, longest = 0;    ///< seconds; negative where stamps run backward
    std::vector<StepBin>
        histogram; ///< ascending; each distinct step by itself while they are few, else `mostBins` of equal width
    std::vector<StepRun> runs; ///< the `mostRuns` longest, in order of frames
    std::int64_t allRuns = 0;  ///< how many there are
    static constexpr int mostBins = 24, mostRuns = 12;
};

/// `tick` > 0, seconds: what a stamp is rounded to; a run may wander by 1.5 of it.
StampSteps stampSteps(const Stamps& stamps, const Rational& tick);

} // namespace timing
