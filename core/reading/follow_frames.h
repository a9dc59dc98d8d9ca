#pragma once
#include "core/media/index/confirmation.h"
#include "core/session/edits.h"

namespace reading {

/// Footage can be read as soon as its packets are known; decoding then proves which frames there are. What it found of
/// a capture that the session has to follow, so that marks stay on the picture they were set on.
struct FramesFound {
    session::Capture capture;                        ///< as decoding describes it
    std::vector<std::optional<std::int64_t>> frames; ///< where each scanned frame is now; empty: where it was
    std::set<session::MarkedPicture> settled;        ///< marks that have the decoded number already
};

/// `marked`: those of the capture. May decode marked pictures: belongs on a worker. Throws core::Error,
/// core::Cancelled.
FramesFound compareFrames(const media::Confirmation& confirmation, const session::Capture& capture,
                          const std::set<session::MarkedPicture>& marked, std::stop_token stop = {});

/// The edit with which the session follows; one without changes where it says the same already.
session::Edit follow(const session::Document& document, session::CaptureId id, const FramesFound& found);

} // namespace reading
