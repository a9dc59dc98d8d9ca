#pragma once
#include "core/timing/units.h"
#include <vector>

namespace timing {

/// `count` frames (>= 1) are missing right before frame `before`.
struct Gap {
    FrameNumber before;
    FrameCount count;
    bool operator==(const Gap&) const = default;
};

/// How many frames are missing before each frame: by search, as hostile files have millions of gaps.
class MissingFrames {
public:
    MissingFrames() = default;
    explicit MissingFrames(std::vector<Gap> gaps); ///< in any order
    FrameCount upTo(FrameNumber k) const;          ///< before frame k or an earlier one

private:
    std::vector<Gap> m_gaps; ///< ascending; count holds all missing up to there
};

} // namespace timing
