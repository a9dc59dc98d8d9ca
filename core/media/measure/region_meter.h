#pragma once
#include "core/media/measure/still_blocks.h"
#include "core/timing/units.h"
#include <vector>

namespace media {

/// What regions are compared with, frame by frame.
struct Comparison {
    bool previous = true; ///< the frame before
    /// Frames fixed in advance, each a little before a press: a frame is compared with the last of them that isn't
    /// after it. In any order.
    std::vector<timing::FrameNumber> references = {};
    bool blocks = true; ///< and its own blocks in all other frames, whatever the camera's shake
};

/// Measures regions in pictures that pass by, whoever decodes them: a trace's own pass, or the one that confirms an
/// index. Keeps the last picture and the reference that holds, no others.
class RegionMeter {
public:
    explicit RegionMeter(std::vector<Rect> regions, Comparison comparison = {});

    /// Levels of each region. Frames come in ascending order. Where one is left out or frames begin anew, there is
    /// nothing to compare with but what came by since.
    std::vector<RegionLevels> measure(timing::FrameNumber n, const Picture& picture);

    const std::vector<Rect>& regions() const { return m_regions; }

private:
    std::vector<Rect> m_regions;
    Comparison m_comparison;
    StillMeter m_still;
    struct Seen {
        timing::FrameNumber frame{-1};
        Picture picture; ///< empty: none
    };
    Seen m_previous, m_reference;
};

} // namespace media
