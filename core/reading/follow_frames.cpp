#include "core/reading/follow_frames.h"
#include "core/reading/new_capture.h"
#include "core/reading/same_footage.h"

namespace reading {

namespace {

/// Marks whose picture decoding gives under their number. A session that was marked in before may number its frames as
/// decoded, and hold marks that were made since by the scanned number: only the pictures tell.
std::set<session::MarkedPicture> settledMarks(const media::Confirmation& confirmation,
                                              const std::set<session::MarkedPicture>& marked, std::stop_token stop)
{
    std::set<session::MarkedPicture> settled;
    media::FrameReader reader(confirmation.footage);
    const auto scanned = static_cast<std::int64_t>(confirmation.moved.size());
    for (const session::MarkedPicture& mark : marked)
        if ((mark.first >= scanned || confirmation.now({mark.first}) != timing::FrameNumber{mark.first})
            && shows(reader, mark, stop))
            settled.insert(mark);
    return settled;
}

/// Wording alone is no reason to change a session.
bool saysTheSame(const session::Capture& known, const session::Capture& found)
{
    return known.frames == found.frames && known.missing == found.missing && known.unknown == found.unknown
           && known.notes.empty() == found.notes.empty();
}

bool anyMoves(const session::Document& document, session::CaptureId id, const FramesFound& found)
{
    for (const session::MarkedPicture& mark : session::markedPictures(document, id))
        if (const auto n = static_cast<std::size_t>(mark.first);
            !found.settled.contains(mark) && n < found.frames.size() && found.frames[n] != mark.first)
            return true;
    return false;
}

} // namespace

FramesFound compareFrames(const media::Confirmation& confirmation, const session::Capture& capture,
                          const std::set<session::MarkedPicture>& marked, std::stop_token stop)
{
    FramesFound found;
    found.capture = describeCapture(*confirmation.footage, capture.path, capture.sha256).capture;
    // Other frame counts than were scanned: the session numbers its frames as an earlier decoding did, or this is other
    // footage.
    if (!confirmation.moved.empty() && capture.frames == static_cast<std::int64_t>(confirmation.moved.size())) {
        for (const auto& frame : confirmation.moved)
            found.frames.push_back(frame ? std::optional(frame->value) : std::nullopt);
        found.settled = settledMarks(confirmation, marked, stop);
    }
    return found;
}

session::Edit follow(const session::Document& document, session::CaptureId id, const FramesFound& found)
{
    const session::Capture* capture = session::find(document, id);
    if (!capture)
        return {};
    const bool piecesMove = !found.frames.empty() && found.settled.empty() && !capture->pieces.empty();
    const bool changes = anyMoves(document, id, found) || piecesMove || !saysTheSame(*capture, found.capture);
    return changes ? session::followFrames(document, id, found.capture, found.frames, found.settled) : session::Edit{};
}

} // namespace reading
