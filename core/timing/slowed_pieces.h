#pragma once
#include "core/timing/stamp_pieces.h"

namespace timing {

/// A part of a file that its slow-motion tag asks players to slow down `divisor` times, from `start` up to `end` after
/// its first frame.
struct SlowedSegment {
    double start = 0, end = 0; ///< seconds of its stamps, 0 <= start < end, known to a millisecond
    int divisor = 2;           ///< >= 2
    bool operator==(const SlowedSegment&) const = default;
};

/// The pieces that stamps make (stampPieces(), or none: the whole file keeps `whole`), cut further where a segment
/// begins or ends and each with the divisor asked for there and the pattern of what it was cut from. A cut within two
/// frames of a stamps' boundary is that boundary. Empty where one speed and one divisor hold throughout. `segments`
/// ascending, without overlap.
std::vector<StampPiece> cutBySegments(const Stamps& stamps, const StampPattern& whole, std::vector<StampPiece> pieces,
                                      const std::vector<SlowedSegment>& segments);

} // namespace timing
