#pragma once
#include "core/media/measure/trace.h"
#include "core/session/capture.h"
#include "core/session/settings.h"
#include <optional>
#include <vector>

namespace reading {

/// A frame that a trace suggests. It brings the analyst near; it is never a mark.
struct Hint {
    timing::FrameNumber frame;
    double strength = 1; ///< how many times over what is enough for a hint; >= 1
    bool strong() const { return strength >= 2; }
};

enum class ChangeKind { BrightnessStep, MotionStarts, MotionStops, Appears, Colour };

/// What the screen does after a press.
struct ResponseHint : Hint {
    ChangeKind kind = ChangeKind::Appears;
    std::vector<media::Rect> blocks; ///< of the native picture, where it shows; of the whole region where all changes
};

/// A press that the lamp's trace suggests, and the reaction after it where the screen's trace shows one.
struct HintPair {
    Hint press;
    std::optional<ResponseHint> response; ///< before the next press
};

/// Press: an onset of the lamp in the direction of `event` (hints_lamp.h). Response: the first change of the screen
/// that stands out of its own past (hints_screen.h); it needs traces with blocks, and `screenRegion`, which they were
/// taken of. Traces may be prefixes of the capture.
std::vector<HintPair> findHints(const media::Trace& lamp, const media::Trace& screen, const media::Rect& screenRegion,
                                session::LampEvent event);

/// What a session keeps of it: a press marked a few frames off at most is this one, whatever rule the analyst goes by.
session::ProposedPress proposedPress(const HintPair&, timing::FrameCount frames); ///< of the capture
/// The hint is for the press marked at `press`.
bool belongsTo(const HintPair& pair, timing::FrameNumber press);

/// Nearest hinted frame after `from` (direction +1) or before it (-1), presses and responses alike; empty when there is
/// none.
std::optional<timing::FrameNumber> nextHint(const std::vector<HintPair>& hints, timing::FrameNumber from,
                                            int direction);

} // namespace reading
