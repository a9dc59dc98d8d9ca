#include "core/reading/follow_frames.h"
#include "core/error.h"
#include "core/media/index/packet_places.h"
#include "core/reading/new_capture.h"
#include "core/reading/path_text.h"
#include "core/reading/same_footage.h"

namespace reading {

namespace {

session::PacketPlaces placesOf(const std::set<session::MarkedPicture>& marked, const media::Confirmation& confirmation,
                               bool asScanned, const std::stop_token& stop)
{
    session::PacketPlaces places;
    if (marked.empty())
        return places;
    media::FrameReader reader(confirmation.footage);
    for (const session::MarkedPicture& mark : marked) {
        const auto& [frame, hash] = mark;
        const std::optional<timing::FrameNumber> now = asScanned ? confirmation.now(frame) : frame;
        if (shows(reader, mark, stop))
            places.emplace(mark, media::packetOf(*confirmation.footage, frame));
        else if (!now)
            places.emplace(mark, std::nullopt);
        else if (*now != frame && shows(reader, {*now, hash}, stop))
            places.emplace(mark, media::packetOf(*confirmation.footage, *now));
    }
    return places;
}

/// Another film may lie there by now, and marks never go to it by their packets alone: the first of them whose packet
/// gives a frame tells.
void requireMarkedFilm(const session::DecodedFrames& found, const std::shared_ptr<const media::Footage>& footage,
                       const session::Document& document, session::CaptureId id, const std::stop_token& stop)
{
    for (const session::Trial* trial : session::trialsOf(document, id))
        for (const session::Reading& reading : trial->readings)
            for (const std::optional<session::Mark>* mark : {&reading.press, &reading.response}) {
                const auto frame =
                    *mark && (*mark)->packet ? timing::frameFrom(found.numbers, *(*mark)->packet) : std::nullopt;
                if (!frame)
                    continue;
                media::FrameReader reader(footage);
                if (!shows(reader, {*frame, (*mark)->pictureHash}, stop))
                    throw core::Error(
                        core::ErrorKind::AtOdds,
                        textOf(footage->path.filename()) + " isn't the footage that was added: its frame "
                            + std::to_string(frame->value)
                            + " isn't the picture that was marked. Its marks stay, marking is off; relink "
                              "the capture to the file that was read.");
                return;
            }
}

} // namespace

session::DecodedFrames decodedFrames(const media::Confirmation& confirmation, const session::Document& document,
                                     session::CaptureId id, std::stop_token stop)
{
    const session::Capture& capture = *session::find(document, id);
    session::DecodedFrames found;
    found.capture = describeCapture(*confirmation.footage, capture.path, capture.sha256).capture;
    found.numbers = media::framesByPacket(*confirmation.footage);
    requireMarkedFilm(found, confirmation.footage, document, id, stop);
    found.moved = confirmation.moved;
    found.places = placesOf(withoutPacket(document, id), confirmation,
                            capture.frames.value == std::ssize(confirmation.moved), stop);
    return found;
}

std::set<session::MarkedPicture> withoutPacket(const session::Document& document, session::CaptureId id)
{
    std::set<session::MarkedPicture> marked;
    for (const session::Trial* trial : session::trialsOf(document, id))
        for (const session::Reading& reading : trial->readings)
            for (const std::optional<session::Mark>* mark : {&reading.press, &reading.response})
                if (*mark && !(*mark)->packet)
                    marked.emplace((*mark)->frame, (*mark)->pictureHash);
    return marked;
}

std::optional<timing::FrameNumber> numberIn(const media::Footage& now, const MadeMark& made)
{
    if (!made.mark.packet)
        return made.mark.frame;
    const auto frame = media::frameFrom(now, *made.mark.packet);
    const bool other = frame && now.confirmed && now.frames[static_cast<std::size_t>(frame->value)].hash != made.hash;
    return other ? std::nullopt : frame;
}

} // namespace reading
