#pragma once
#include "core/media/measure/trace.h"
#include "core/session/settings.h"
#include <optional>
#include <vector>

namespace reading {

/// A frame that a trace suggests. It brings the analyst near; it is never a mark.
struct Hint {
    timing::FrameNumber frame;
    bool strong =
        false; ///< the step is more than 10 SD of the frames before it; of change, also twice the most before the press
};

/// A press that the lamp's trace suggests, and the reaction after it where the screen's trace shows one.
struct HintPair {
    Hint press;
    std::optional<Hint> response; ///< before the next press
};

/// Onsets by the threshold variant of the reading protocol: first frame beyond mean +- k SD of the (up to) 20 frames
/// before, staying there. Press: the lamp's trace in the direction of `event`, only steps that reach halfway between
/// its dark and its lit level. Response: the screen's brightness in either direction; where that says nothing or
/// little, the first frame that differs from the one before (luma or chroma) more than any did before the press. Traces
/// may be prefixes of the capture.
std::vector<HintPair> findHints(const media::Trace& lamp, const media::Trace& screen, session::LampEvent event);

/// The hint is for the press marked at `press`: a few frames off at most, whatever rule the analyst goes by.
bool belongsTo(const HintPair& pair, timing::FrameNumber press);

/// Nearest hinted frame after `from` (direction +1) or before it (-1), presses and responses alike; empty when there is
/// none.
std::optional<timing::FrameNumber> nextHint(const std::vector<HintPair>& hints, timing::FrameNumber from,
                                            int direction);

} // namespace reading
