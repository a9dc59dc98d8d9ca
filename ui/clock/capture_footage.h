#pragma once
#include "core/media/index/footage.h"
#include "ui/model/session_model.h"

namespace ui {

/// What it takes to open a capture's footage on a worker; a copy, so that the session may go on.
struct CaptureFootage {
    std::vector<std::filesystem::path> files;
    media::OpenOptions options;
    timing::FrameCount frames;
    std::string notAsked; ///< why it isn't to be read; empty where it may be

    CaptureFootage(const SessionModel& model, const session::Capture& capture);
    /// Throws core::Error, also where the footage has other frames than the session says; core::Cancelled.
    std::shared_ptr<const media::Footage> open(std::stop_token stop) const;
};

} // namespace ui
