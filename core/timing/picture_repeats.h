#pragma once
#include "core/timing/lamp_edges.h"
#include "core/timing/picture_changes.h"
#include <optional>
#include <string>
#include <vector>

namespace timing {

/// Of fewer pictures nothing is said.
inline constexpr std::int64_t fewestJudged = 24;

/// Whether every picture of a capture shows something new.
struct PictureRepeats {
    enum class Verdict {
        CantTell, ///< a picture like its predecessor proves nothing here
        AllAdd,
        Periodic,  ///< of every `period` pictures only `adding` show something new
        Blended,   ///< every second picture is a mixture of its neighbours
        Irregular, ///< some repeat their predecessor, without a pattern
    };
    Verdict verdict = Verdict::CantTell;
    int period = 1;                   ///< 2..5 where Periodic, 2 where Blended, else 1
    int adding = 1;                   ///< < period where there is a pattern, else 1
    std::vector<FrameNumber> repeats; ///< pictures that add nothing over the one before, where that can be told
    std::int64_t judged = 0;          ///< pictures that could be judged

    /// Pictures between one that adds and the next that does, at most; 1 without a pattern.
    int framesPerPicture() const;
    /// One sentence for the analyst. `rate`: what the frames are said to come at, where known.
    std::string sentence(std::optional<double> rate) const;
};

/// Of what was captured only some pictures show something new, so that counts are coarser than they seem.
constexpr bool isPattern(PictureRepeats::Verdict verdict)
{
    return verdict == PictureRepeats::Verdict::Periodic || verdict == PictureRepeats::Verdict::Blended;
}

/// From how each frame differs from the one before (media::MovementMeter). A picture adds nothing where everything that
/// moves before and after it stands still and the sensor's noise, which every captured frame has of its own, is gone
/// from the parts that don't move as well: a screen that is filmed shows nothing new for several frames by nature, but
/// its surroundings go on to sparkle. Codecs take noise away from some kinds of picture, so that only pictures stored
/// alike are compared; where they take all of it, and where the whole picture moves at once, standing still proves
/// nothing: CantTell.
PictureRepeats findRepeats(const std::vector<FrameChange>& changes);

/// The same from a lamp that blinks at `flashesAFrame`, 0.4 to 0.5, times the claimed rate: its level goes to and fro
/// at almost every frame if every frame is real; else only its beat with the real rate is seen. Without steps in that
/// beat, blends are made up between.
PictureRepeats findRepeatsByBlinking(const std::vector<double>& levels, double flashesAFrame);

/// The same from the frames around a lamp's edges: edges that fall on every 2nd to 5th frame only, and half lit frames
/// that are the mean of their neighbours every time. Says nothing where the lamp's own rhythm would do that too.
PictureRepeats findRepeatsAtEdges(const std::vector<double>& levels, const LampTrace& lamp);

} // namespace timing
