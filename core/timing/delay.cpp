#include "core/timing/delay.h"

#include <cassert>

namespace timing {

Correction operator+(const Correction& a, const Correction& b) { return {a.add + b.add, a.halfWidth + b.halfWidth}; }

std::variant<TrialDelay, NoDelay> trialDelay(const CaptureTime& time, FrameNumber press, FrameNumber response,
                                             const Correction& correction)
{
    assert(correction.halfWidth.count() >= 0);
    const auto name = [](FrameNumber k) { return std::to_string(k.value); };
    for (const FrameNumber k : {press, response})
        if (!time.has(k))
            return NoDelay{"frame " + name(k) + " isn't in this capture of " + std::to_string(time.frames().value)
                           + " frames"};
    if (response < press)
        return NoDelay{"the response (frame " + name(response) + ") lies before the press (frame " + name(press) + ")"};
    if (press.value == 0)
        return NoDelay{"the press is marked in the first frame, so nothing shows that it wasn't earlier"};

    const FrameNumber beforePress = press - FrameCount{1};
    const FrameNumber beforeResponse = response - FrameCount{1};
    if (const auto why = time.unknownBetween(beforePress, response))
        return NoDelay{*why};

    TrialDelay trial;
    trial.counted = response - press;
    trial.missingBetween = time.missingBetween(press, response);
    trial.delay = Milliseconds(time.at(response) - time.at(press)) + correction.add;
    const Milliseconds doubt = Milliseconds(time.resolution()) + correction.halfWidth;
    trial.earliest = Milliseconds(time.at(beforeResponse) - time.at(press)) + correction.add - doubt;
    trial.latest = Milliseconds(time.at(response) - time.at(beforePress)) + correction.add + doubt;
    trial.pressInterval = *time.intervalBefore(press);
    trial.responseInterval = *time.intervalBefore(response);
    return trial;
}

} // namespace timing
