#pragma once
#include "core/reading/hints.h"
#include <string>

namespace reading {

/// Marks of one trial.
struct MarkedFrames {
    timing::FrameNumber press;
    std::optional<timing::FrameNumber> response;
};

/// What the footage says against a trial's marks: a sentence each that says what and what to do. Told are: a press at
/// which the lamp doesn't change; a response at which nothing on the screen changes (nothingChanges(),
/// hints_screen.h); a lamp region that the
/// camera has moved off since it stood over the lamp for most of the capture; a step in the picture's light at the
/// marks or between them. What the traces don't reach, or lack blocks for, is not told.
///
/// `hints`: findHints() of the same traces. `lampRegion`: what `lamp` was taken of.
std::vector<std::string> footageSlips(const media::Trace& lamp, const media::Trace& screen,
                                      const media::Rect& lampRegion, const std::vector<HintPair>& hints,
                                      const MarkedFrames& marks);

} // namespace reading
