#pragma once
#include "core/timing/missing_frames.h"
#include <optional>
#include <string>
#include <vector>

namespace timing {

/// From frame `first` to frame `last`, first < last, no time can be told at any step (damage, unclear stamps, a seam).
struct UnknownStretch {
    FrameNumber first;
    FrameNumber last;
    std::string why; ///< completes "no time can be told from frame 312 to 313: ..."
};

/// Capture time of every frame of one capture, in seconds. A value; exists only with a settled clock, which the caller
/// gives, so there are no ms without one.
class CaptureTime {
public:
    /// t(k) = (k + missing before k) / rate. `gaps` in any order, count >= 1. Costs nothing a frame. Preconditions:
    /// `rate` > 0, `frames` >= 1.
    static CaptureTime even(double rate, FrameCount frames, const std::vector<Gap>& gaps = {},
                            std::vector<UnknownStretch> unknown = {});

    /// t(k) = (s_k - s_0) * slowDown, `slowDown` > 0 in capture seconds per stamp second; one stamp a frame, >= 1.
    /// `tick` is what the stamps are rounded to: every difference of two may be off by as much.
    /// A stamp that isn't finite or lies before its predecessor's leaves the steps at it unknown.
    static CaptureTime stamped(const std::vector<double>& stampSeconds, double slowDown, Seconds tick = Seconds{0},
                               std::vector<UnknownStretch> unknown = {});

    FrameCount frames() const { return {m_frames}; }
    bool has(FrameNumber k) const { return k.value >= 0 && k.value < m_frames; }

    /// Precondition: has(k). Meaningless across an unknown step; ask unknownBetween() first.
    Seconds at(FrameNumber k) const;
    /// From the frame recorded before to `k`: longer than the capture interval after a gap. Empty for the first frame.
    std::optional<Seconds> intervalBefore(FrameNumber k) const;
    /// Frames known to be missing between `a` and `b`, a <= b.
    FrameCount missingBetween(FrameNumber a, FrameNumber b) const;
    /// Why no time can be told from `a` to `b`, a <= b; empty when it can.
    std::optional<std::string> unknownBetween(FrameNumber a, FrameNumber b) const;
    /// How far a difference of two times may be off by the rounding of stamps; 0 for an even clock.
    Seconds resolution() const { return m_resolution; }

private:
    CaptureTime() = default;
    void takeUnknown(std::vector<UnknownStretch> unknown);

    std::int64_t m_frames = 0;
    double m_rate = 0;                     ///< even clock; 0 for a stamped one
    MissingFrames m_missing;               ///< even clock
    std::vector<double> m_times;           ///< stamped clock: seconds, one a frame
    std::vector<UnknownStretch> m_unknown; ///< ascending
    std::vector<FrameNumber> m_reach;      ///< where the furthest of these and those before it ends
    Seconds m_resolution{0};
};

} // namespace timing
