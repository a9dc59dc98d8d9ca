#pragma once
#include "core/media/index/footage.h"
#include "core/session/edits.h"

namespace reading {

/// What goes into the session of a piece of footage: its size, what is missing, what is doubtful, and what the
/// file itself says of its capture rate. `pathInSession` and `sha256` as session::Capture has them.
/// Looks at every stamp, so it belongs on a worker.
session::NewCapture describeCapture(const media::Footage& footage, const std::string& pathInSession,
                                    const std::string& sha256 = {});

} // namespace reading
