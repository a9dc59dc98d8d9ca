#pragma once
#include "core/media/index/footage.h"
#include "core/session/capture.h"
#include "core/session/evidence_store.h"
#include "core/session/trial.h"

namespace reading {

/// A frame that is to become a mark, as it was when the key was pressed.
struct MarkRequest {
    std::shared_ptr<const media::Footage> footage; ///< not null
    timing::FrameNumber frame;                     ///< in the footage
    media::Picture at, before;                     ///< where the cache holds them; what is missing is decoded
    session::Region lamp, screen;
};

struct MadeMark {
    session::Mark mark;
    std::uint64_t hash = 0; ///< of its picture, as the footage's frames have it
};

/// Hashes the picture and keeps the crops of both regions before and at the frame as evidence. Blocks;
/// belongs on a worker. Throws core::Error when a picture can't be had or a region lies outside of it (Refused),
/// core::Cancelled on a stop.
MadeMark makeMark(const MarkRequest& request, session::EvidenceStore& evidence, std::stop_token stop = {});

media::Rect rectOf(const session::Region& region);

} // namespace reading
