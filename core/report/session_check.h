#pragma once
#include "core/session/document.h"
#include <functional>
#include <string>
#include <vector>

namespace report {

/// What the caller found out about the footage of one capture.
struct FootageFacts {
    session::CaptureId capture;
    bool found = false;
    std::string sha256;  ///< lower-case hex; empty where it wasn't taken
    std::string problem; ///< why it couldn't be read; else empty
};

enum class Severity {
    AtOdds, ///< footage or evidence contradicts the session or is missing
    Undone, ///< work is left before the figures can be published
    Notice, ///< worth knowing
};
const char* label(Severity); ///< "at odds", "not done", "notice"

struct Finding {
    Severity severity = Severity::Notice;
    std::string place;    ///< "capture wired_1.mp4", "trial 3 of wired_1", "clock Bench camera", "session"
    std::string sentence; ///< what, and what to do about it
};

/// Whether everything that published figures rest on is there and finished. `cropIsThere` is asked once for each crop
/// that a mark refers to, by its SHA-256; a core::Error it throws becomes a finding. Captures without facts are
/// reported as not looked at. Most severe first.
std::vector<Finding> check(const session::Document&, const std::vector<FootageFacts>&,
                           const std::function<bool(const std::string& sha256)>& cropIsThere);

} // namespace report
