#pragma once
#include "core/session/document.h"

namespace report {

/// What was found of a capture's footage.
struct FootageFacts {
    session::CaptureId capture;
    bool found = false;
    std::string fault;  ///< one sentence when it can't be read
    std::string sha256; ///< empty when it couldn't be read
};

/// Something to see to before publishing.
struct Finding {
    std::string place;    ///< "run03", "run03, trial 5", "Bench camera, 960 mode"
    std::string sentence; ///< what is wrong and what to do
};

/// Footage there and unchanged, clocks settled, trials complete. `facts` has one entry for each capture.
std::vector<Finding> findings(const session::Document& document, const std::vector<FootageFacts>& facts);

} // namespace report
