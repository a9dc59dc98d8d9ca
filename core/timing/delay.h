#pragma once
#include "core/timing/capture_time.h"
#include <string>
#include <variant>

namespace timing {

/// What rolling shutter adds to a delay: (row_screen - row_lamp) * line time, rows in readout order of the unturned
/// sensor. The true value lies within `add` +- `halfWidth`.
struct RowCorrection {
    Milliseconds add{0};
    Milliseconds halfWidth{0};
};

/// The delay of one trial. An event is recorded in the first frame at or after it, so the press happened in
/// (t(frame before press), t(press)], the response in (t(frame before response), t(response)].
struct TrialDelay {
    FrameCount counted;            ///< camera frames from press to response, as numbered
    FrameCount missingBetween;     ///< frames known to be missing between them
    Milliseconds delay{0};         ///< t(response) - t(press) + rows
    Milliseconds earliest{0};      ///< lower end, not reached: t(frame recorded before response) - t(press) + rows
    Milliseconds latest{0};        ///< upper end, not reached: t(response) - t(frame recorded before press) + rows
    Milliseconds pressInterval{0}; ///< from the frame recorded before the press to the press
    Milliseconds responseInterval{0};
};

/// Why a pair of marks gives no delay; one sentence for the analyst.
struct NoDelay {
    std::string reason;
};

/// No delay when a frame isn't in the capture, when the response comes before the press, when either is the first frame
/// (nothing shows that the event was not earlier), or when time can't be told anywhere between the frame before the press
/// and the response. Stamp rounding and row doubt widen the range at both ends.
std::variant<TrialDelay, NoDelay> trialDelay(const CaptureTime& time, FrameNumber press, FrameNumber response,
                                             const RowCorrection& rows = {});

} // namespace timing
