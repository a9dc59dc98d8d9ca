#pragma once
#include "core/session/document.h"
#include "core/timing/capture_time.h"
#include <optional>
#include <string>

namespace analysis {

/// The clock that one capture, or a piece of it, is read with, as far as it is settled.
struct CaptureClock {
    const session::Clock* clock = nullptr;           ///< null: it has none
    const session::ClockEvidence* settled = nullptr; ///< null: no ms
    std::optional<timing::CaptureTime> time;         ///< empty without `settled`, or as `problem` says
    timing::MissingFrames missing;                   ///< of the capture
    std::string problem;                             ///< a settled clock that can't be applied to this capture
};

/// Stamps that are all whole milliseconds, as some containers keep them, are taken to be rounded to one; of other
/// stamps the rounding isn't known to the session and taken as nothing.
/// Of the piece that holds `frame`; no time can be told from one piece to another.
CaptureClock captureClock(const session::Document&, const session::Capture&, timing::FrameNumber frame = {});

/// Why no clock tells the time from the frame before the press to the response: they lie in different pieces. Empty:
/// they don't.
std::optional<std::string> acrossPieces(const session::Capture&, timing::FrameNumber press,
                                        timing::FrameNumber response);

/// Where the counting reading's press lies; 0 where nothing is marked.
timing::FrameNumber pressFrame(const session::Trial&);

} // namespace analysis
