#pragma once
#include "core/timing/rate_evidence.h"
#include "core/timing/stamp_pattern.h"

namespace timing {

/// Frames `first` to `last` of a file whose stamps change speed: either they keep one step, or they keep none there
/// because one speed passes into the next. Which of the pieces the camera really captured faster, stamps can't say.
struct StampPiece {
    FrameNumber first;
    FrameNumber last;     ///< >= first
    StampPattern pattern; ///< of these frames alone, numbered as in the whole file; without `step` where they keep none
    int divisor = 1;      ///< how many times slower a tag asks players to show them (slowed_pieces.h)
};

/// The pieces of a ramped file: at least two of them keep a step over eight frames and more, and together those hold
/// half of the frames. Else empty: one step throughout, or stamps that follow no rule. `stamps`, `tick` as
/// stampPattern() takes them. A boundary lies on the first frame whose step from its predecessor is a new one.
std::vector<StampPiece> stampPieces(const Stamps& stamps, const Rational& tick);

/// True when the stamps of every piece that keeps a step scatter as measured times do: the camera changed its rate
/// while it filmed, and each stamp still is the time of its frame. False without pieces.
bool varyAsRealTimes(const std::vector<StampPiece>& pieces);

/// What such stamps say of the rate: their mean, as good as the device's own clock. Empty with fewer than two stamps.
std::optional<RateEvidence> realTimeEvidence(const Stamps& stamps);

/// True when the steps are the same within 2 %, as two pieces of one camera mode are.
bool sameStep(double a, double b);

} // namespace timing
