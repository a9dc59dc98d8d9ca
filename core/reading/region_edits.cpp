#include "core/reading/region_edits.h"
#include "core/session/edit_steps.h"

#include <algorithm>

namespace reading {

using session::Capture;
using session::Region;
using session::RegionKind;

namespace {

bool hasSameSize(const Capture& a, const Capture& b) { return a.width == b.width && a.height == b.height; }

bool hasSamePlace(const Region& a, const Region& b)
{
    return a.x == b.x && a.y == b.y && a.width == b.width && a.height == b.height;
}

bool isRead(const session::Document& document, session::CaptureId capture, session::RegionId region)
{
    return std::ranges::any_of(session::trialsOf(document, capture), [&](const session::Trial* trial) {
        return trial->lamp == region || trial->screen == region;
    });
}

} // namespace

session::Edit drawRegion(const session::Document& document, session::CaptureId captureId, Region region)
{
    const Capture* drawnIn = session::find(document, captureId);
    if (!drawnIn || region.id || session::firstRegion(*drawnIn, region.kind))
        return session::setRegion(document, captureId, region);

    session::EditBuilder builder(document, "draw region " + region.name);
    for (const Capture* capture : session::inOrder(document.captures)) {
        const bool carried = hasSameSize(*capture, *drawnIn) && !session::firstRegion(*capture, region.kind);
        if (capture->id != captureId && !carried)
            continue;
        Capture with = *capture;
        region.id = builder.nextId<session::RegionId>();
        with.regions.push_back(region);
        builder.put(with);
    }
    return std::move(builder).finish();
}

CopiedRegions copyRegions(const session::Document& document, session::CaptureId from, CopyTo to,
                          const std::set<session::CaptureId>& chosen)
{
    const Capture& source = session::need(document, from);
    if (source.regions.empty())
        session::refuse(session::named(source) + " has no regions to copy: draw them first");
    session::EditBuilder builder(document, "copy regions of " + source.name);
    CopiedRegions copied;
    bool any = false;
    for (const Capture* capture : session::inOrder(document.captures)) {
        if (capture->id == from || capture->lampReference != source.lampReference
            || (to == CopyTo::SameCamera && (!source.clock || capture->clock != source.clock))
            || (to == CopyTo::Chosen && !chosen.contains(capture->id)))
            continue;
        any = true;
        if (!hasSameSize(*capture, source)) {
            ++copied.otherSize;
            continue;
        }
        Capture with = *capture;
        bool keeps = false;
        for (Region region : source.regions) {
            const auto same = std::ranges::find_if(with.regions, [&](const Region& other) {
                return other.kind == region.kind && other.name == region.name;
            });
            if (same == with.regions.end()) {
                region.id = builder.nextId<session::RegionId>();
                with.regions.push_back(region);
            } else if (!hasSamePlace(*same, region)) {
                region.id = same->id;
                if (isRead(document, capture->id, same->id))
                    keeps = true;
                else
                    *same = region;
            }
        }
        copied.read += keeps;
        if (with.regions == capture->regions)
            continue;
        const Region* before = session::firstRegion(*capture, RegionKind::Lamp);
        const Region* now = session::firstRegion(with, RegionKind::Lamp);
        if (before && now && !hasSamePlace(*before, *now))
            with.presses.reset();
        builder.put(with);
        ++copied.captures;
    }
    if (!any)
        session::refuse(to == CopyTo::SameCamera ? "no other capture was filmed by the camera of " + source.name
                        : to == CopyTo::Chosen ? "none of the captures chosen could take the regions of " + source.name
                                               : "there is no other capture that could take regions");
    copied.edit = std::move(builder).finish();
    return copied;
}

} // namespace reading
