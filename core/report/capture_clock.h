#pragma once
#include "core/session/document.h"
#include "core/timing/capture_time.h"
#include <optional>
#include <string>

namespace report {

/// The clock that one capture is read with, as far as it is settled. Inside core/report only.
struct CaptureClock {
    const session::Clock* clock = nullptr;            ///< null: the capture has none
    const session::ClockEvidence* settled = nullptr;  ///< null: no ms
    std::optional<timing::CaptureTime> time;          ///< empty without `settled`, or as `problem` says
    std::string problem;                              ///< a settled clock that can't be applied to this capture
};

/// Stamps that are all whole milliseconds, as some containers keep them, are taken to be rounded to one; of other
/// stamps the rounding isn't known to the session and taken as nothing.
CaptureClock captureClock(const session::Document&, const session::Capture&);

} // namespace report
