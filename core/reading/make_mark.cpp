#include "core/reading/make_mark.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/packet_places.h"
#include "core/media/picture/rendition.h"
#include "core/session/evidence_store.h"

namespace reading {

media::Rect rectOf(const session::Region& region) { return {region.x, region.y, region.width, region.height}; }

namespace {

/// Pictures may change their size within a capture.
bool isInside(const session::Region& region, const media::Picture& picture)
{
    return region.x < picture.size().width && region.y < picture.size().height;
}

} // namespace

MadeMark makeMark(const MarkRequest& request, session::EvidenceStore& evidence, std::stop_token stop)
{
    const timing::FrameNumber frame = request.frame;
    media::Picture at = request.at, before = request.before;
    const bool first = frame.value == 0;
    if (!at || (!before && !first)) {
        media::FrameReader reader(request.footage);
        if (!before && !first)
            before = reader.read(frame - timing::FrameCount{1}, stop);
        if (!at)
            at = reader.read(frame, stop);
    }

    for (const session::Region* region : {&request.lamp, &request.screen})
        if (!isInside(*region, at))
            throw core::Error(core::ErrorKind::Refused,
                              "Frame " + std::to_string(frame.value) + " can't be marked: its picture is "
                                  + std::to_string(at.size().width) + " x " + std::to_string(at.size().height)
                                  + ", and region \"" + region->name + "\" lies outside; draw the region again or mark "
                                  + "where the pictures have its place.");
    const auto keep = [&](const media::Picture& picture, const session::Region& region) {
        return picture && isInside(region, picture)
                   ? evidence.keep(media::encodePng(media::evidenceCrop(picture, rectOf(region))))
                   : std::string();
    };
    MadeMark made;
    made.hash = at.hash();
    session::Mark& mark = made.mark;
    mark.frame = frame;
    mark.packet = media::packetOf(*request.footage, frame);
    mark.pictureHash = at.md5();
    mark.crops.lampBefore = keep(before, request.lamp);
    mark.crops.lampAt = keep(at, request.lamp);
    mark.crops.screenBefore = keep(before, request.screen);
    mark.crops.screenAt = keep(at, request.screen);
    return made;
}

} // namespace reading
