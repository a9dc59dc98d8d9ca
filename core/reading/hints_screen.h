#pragma once
#include "core/reading/hints.h"

namespace reading {

/// The first frame after `press`, before `end`, in which the screen differs from what it was, against its own past.
///
/// Blocks come with the camera's shake taken out (media::StillBlocks). What all of them share - ripple, exposure, the
/// display's own flicker - is taken out by the median of their ratios, and tested by itself against what the
/// surroundings' light explains. Each block is held against its noise and its usual activity in the stretch before the
/// press: z is its distance from the mean of the frames before, over the largest of its RMS and a third of its furthest
/// distance there; what came once and stayed (the last reaction's end) isn't usual. R is the root of the sum of z
/// squared over 3 x 3 blocks.
///
/// The test is a CUSUM on R for every block: S = max(0, S + R - k), alarm at S > 0.75 k while R stays above k in the
/// two frames that follow. k is 7.8, which chi squared with 9 degrees of freedom passes with P = 9e-10, or 1.8 times
/// the most that R came to before the press, whichever is more. On normal noise R passes it in one
/// of some thousand presses of 1000 frames and 1200 blocks, and an alarm asks for more than that; the table in
/// tests/core/reading says what it is on filmed scenes. The hint is the onset: from the alarm back to the first frame
/// in which the blocks that changed, weighted as they changed, stand out of their past.
///
/// Empty: nothing stands out, less than a few dozen frames are known before the press, or levels come without blocks.
/// What changes with the lamp itself is its light on the screen and no reaction.
std::optional<ResponseHint> screenChange(const media::Trace& screen, const media::Rect& region,
                                         timing::FrameNumber earliest, timing::FrameNumber press,
                                         timing::FrameNumber end);

} // namespace reading
