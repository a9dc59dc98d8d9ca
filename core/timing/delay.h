#pragma once
#include "core/timing/capture_time.h"
#include <string>
#include <variant>

namespace timing {

/// Something that is added to a delay as counted: rows, scan-out, lamp. The true value lies within `add` +-
/// `halfWidth`.
struct Correction {
    Milliseconds add{0};
    Milliseconds halfWidth{0}; ///< >= 0
    bool operator==(const Correction&) const = default;
};
/// Both; half-widths add up, as limits do.
Correction operator+(const Correction&, const Correction&);

/// The delay of one trial. An event is recorded in the first frame at or after it, so the press happened in
/// (t(frame before press), t(press)], the response in (t(frame before response), t(response)].
struct TrialDelay {
    FrameCount counted;        ///< camera frames from press to response, as numbered
    FrameCount missingBetween; ///< frames known to be missing between them
    Milliseconds delay{0};     ///< t(response) - t(press) + corrections
    Milliseconds earliest{0};  ///< lower end, not reached: t(frame recorded before response) - t(press) + corrections
    Milliseconds latest{0};    ///< upper end, not reached: t(response) - t(frame recorded before press) + corrections
    Milliseconds pressInterval{0}; ///< from the frame recorded before the press to the press
    Milliseconds responseInterval{0};
};

/// Why a pair of marks gives no delay; one sentence for the analyst.
struct NoDelay {
    std::string reason;
};

/// No delay when a frame isn't in the capture, when the response comes before the press, when either is the first frame
/// (nothing shows that the event was not earlier), or when time can't be told anywhere between the frame before the
/// press and the response. Stamp rounding and the correction's half-width widen the range at both ends.
std::variant<TrialDelay, NoDelay> trialDelay(const CaptureTime& time, FrameNumber press, FrameNumber response,
                                             const Correction& correction = {});

} // namespace timing
