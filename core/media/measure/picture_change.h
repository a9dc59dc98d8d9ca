#pragma once
#include "core/media/measure/still_blocks.h"
#include "core/media/picture/rendition.h"
#include <optional>

namespace media {

/// How a region of a picture differs from what it was in another picture, with what both show alike taken out: the
/// camera's movement, to a fraction of a pixel, and a common brightness.
struct PictureChange {
    double dx = 0, dy = 0;    ///< pixels that the scene has moved by, right and down; taken out
    double light = 1;         ///< factor by which all has become brighter; taken out
    std::vector<Rect> blocks; ///< that differ by more than noise and edges explain; native, of the picture now
    RgbImage image;           ///< of the part asked for: grey where nothing changed, brighter where it became brighter
};

/// What of the region is wanted as an image.
struct ChangePart {
    Rect rect;       ///< native, of the picture now; not empty
    int factor = 1;  ///< pixels to one of the image, along either side, >= 1
    double gain = 4; ///< of 255 by which grey moves for a change of one level
};

/// Compares pictures with others one by one. Movement and light are those of the surroundings (StillMeter), unless too
/// little shows around the region. A common brightness of the region itself - its own flicker, how much of the room's
/// light it takes part in - is taken out instead where the surroundings' light and 3 % explain it: what exceeds that is
/// a change, even where all of the region shows it. For one thread.
class ChangeMeter {
public:
    /// Empty where the two can't be compared: of another size or kind, too small, in a format that can't be read, or
    /// the region lies outside. Preparing `before` is saved while it stays the same. Precondition: neither picture is
    /// empty.
    std::optional<PictureChange> measure(const Picture& before, const Picture& now, const Rect& region,
                                         const ChangePart& part);

private:
    Picture m_before; ///< that `m_prepared` is of
    Rect m_region;
    std::optional<StillMeter> m_prepared;
    std::shared_ptr<const StillBlocks> m_blocksBefore;
};

} // namespace media
