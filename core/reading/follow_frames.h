#pragma once
#include "core/media/index/confirmation.h"
#include "core/reading/make_mark.h"
#include "core/session/edits.h"

namespace reading {

/// Footage can be read as soon as its packets are known; decoding then confirms which frames there are. For
/// session::followFrames(), whatever came into the session since: marks are known by their packets.
/// Marks from sessions of earlier times have none. They get that of the frame of their number, decoding's or else the
/// scan's, that shows the marked picture; from then on nobody looks for pictures. That decodes them: belongs on a
/// worker. Precondition: the capture is there. Throws core::Error (AtOdds where a mark's packet gives another picture:
/// it is other footage), core::Cancelled.
session::DecodedFrames decodedFrames(const media::Confirmation& confirmation, const session::Document& document,
                                     session::CaptureId id, std::stop_token stop = {});

/// Marks that nobody knows the packet of yet.
std::set<session::MarkedPicture> withoutPacket(const session::Document& document, session::CaptureId id);

/// The number that a mark's picture has in the footage as it is known now, which may be another than when it was made.
/// Empty where decoding found that there is no such picture, or another one in its place.
std::optional<timing::FrameNumber> numberIn(const media::Footage& now, const MadeMark& made);

} // namespace reading
