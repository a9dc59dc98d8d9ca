#pragma once
#include "core/reading/hints.h"

namespace reading {

/// Frames in which nothing is to react: up to a press, from where the reaction before is over.
struct QuietStretch {
    timing::FrameNumber from, to; ///< end excluded
};
/// Those up to `press` and up to each of `presses`, ascending, that comes before it. A reaction is taken to be over
/// halfway between two presses.
std::vector<QuietStretch> quietBefore(const std::vector<timing::FrameNumber>& presses, timing::FrameNumber press);

/// The first frame after the last stretch of `quiet`, before `end`, in which the screen differs from what it was,
/// against its own past.
///
/// Blocks come with the camera's shake taken out (media::StillBlocks). What all of them share - ripple, exposure, the
/// display's own flicker - is taken out by the median of their ratios, and tested by itself against what the
/// surroundings' light explains. From frame to frame the mean of 6 frames is compared with that of the up to 32 before
/// (change_test.h): z is their difference over what it usually is in that block, R the root of the sum of z squared
/// over 3 x 3 blocks. Usual is what comes more than once in the quiet stretches before presses: the cursor blinks, the
/// sky moves; the end of the last reaction comes once.
///
/// A change is where R passes k: 9, which chi squared with 9 degrees of freedom passes with P = 1e-13, or twice what R
/// usually comes to in the blocks around, or 1.5 times what it comes to anywhere. What passes it by little is no hint;
/// what passes it by less than twice gives way to something far stronger elsewhere. On normal noise that is one false
/// alarm in some 1e9 presses of 1000 frames and 1200 blocks; what codecs leave isn't normal, and HINTS.md in
/// tests/core/reading says what comes of it on filmed scenes. The hint is the onset: the first frame in which the
/// blocks that changed, weighted as they changed, stand out of their past and show a seventh of what they come to.
///
/// What moved until the press (screen_mover.h) is no change where it goes; where it rests, the hint is the frame in
/// which it would have moved on.
///
/// Empty: nothing stands out, less than a few dozen frames are known before the press, or levels come without blocks.
/// What changes with the lamp itself is its light on the screen and no reaction.
/// Precondition: `quiet` is ascending and not empty.
std::optional<ResponseHint> screenChange(const media::Trace& screen, const media::Rect& region,
                                         const std::vector<QuietStretch>& quiet, timing::FrameNumber end);

/// Whether the screen is as it was at `response` and 3 frames around it: less than four fifths of what a change asks
/// for, and nothing moved just before that may have come to rest. False where the trace doesn't reach or tells too
/// little.
bool nothingChanges(const media::Trace& screen, const std::vector<QuietStretch>& quiet, timing::FrameNumber response);

} // namespace reading
