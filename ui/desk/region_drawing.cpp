#include "ui/desk/region_drawing.h"
#include "core/reading/make_mark.h"

#include <algorithm>

namespace ui {

using session::RegionKind;

session::Edit drawRegion(const session::Document& document, session::CaptureId captureId, session::Region region)
{
    const session::Capture* drawnIn = session::find(document, captureId);
    const auto has = [&](const session::Capture& capture) {
        return std::ranges::find(capture.regions, region.kind, &session::Region::kind) != capture.regions.end();
    };
    if (!drawnIn || region.id || has(*drawnIn))
        return session::setRegion(document, captureId, region);

    session::EditBuilder builder(document, "draw region " + region.name);
    for (const session::Capture* capture : session::inOrder(document.captures)) {
        const bool carried = capture->width == drawnIn->width && capture->height == drawnIn->height && !has(*capture);
        if (capture->id != captureId && !carried)
            continue;
        session::Capture with = *capture;
        region.id = builder.nextId<session::RegionId>();
        with.regions.push_back(region);
        builder.put(with);
    }
    return std::move(builder).finish();
}

RegionDrawing::RegionDrawing(SessionModel& model, DeskState& state, FrameView& view, QObject* parent)
    : QObject(parent), m_model(model), m_state(state), m_view(view)
{
    connect(&view, &FrameView::regionDrawn, this, &RegionDrawing::drawn);
    connect(&state, &DeskState::regionsChanged, this, &RegionDrawing::showRegions);
    connect(&state, &DeskState::captureChanged, this, [this] { m_view.cancelRegion(); });
    showRegions(); // a session may be open before there is a desk
}

void RegionDrawing::draw(RegionKind kind)
{
    if (!m_state.capture())
        return;
    if (m_model.readOnly()) {
        emit cue(tr("The session is open read-only; no region can be drawn."));
        return;
    }
    const session::Region* region = m_state.region(kind);
    m_replaced = region ? region->id : session::RegionId{};
    m_view.cancelRegion();
    m_view.beginRegion(kind, region ? std::optional(reading::rectOf(*region)) : std::nullopt);
}

void RegionDrawing::drawAnother(RegionKind kind)
{
    if (!m_state.capture() || m_model.readOnly())
        return;
    m_replaced = {};
    m_view.cancelRegion();
    m_view.beginRegion(kind);
}

void RegionDrawing::drawn(RegionKind kind, const media::Rect& rect)
{
    const session::Capture* capture = m_state.capture();
    if (!capture)
        return;
    session::Region region;
    region.kind = kind;
    region.x = rect.x;
    region.y = rect.y;
    region.width = rect.width;
    region.height = rect.height;
    const session::Region* replaced = session::findRegion(*capture, m_replaced);
    if (replaced) {
        region.id = replaced->id;
        region.name = replaced->name;
    } else {
        const std::string word = kind == RegionKind::Lamp ? "lamp" : "screen";
        const auto taken = [&](const std::string& name) {
            return std::ranges::any_of(capture->regions,
                                       [&](const auto& r) { return r.kind == kind && r.name == name; });
        };
        region.name = word;
        for (int number = 2; taken(region.name); ++number)
            region.name = word + " " + std::to_string(number);
    }
    session::RegionId made = region.id;
    const bool went = m_model.edit([&](const session::Document& document) {
        session::Edit edit = drawRegion(document, capture->id, region);
        for (const session::Change& change : edit.changes)
            if (const auto* after = change.after ? std::get_if<session::Capture>(&*change.after) : nullptr)
                if (after->id == capture->id && !after->regions.empty() && !made)
                    made = after->regions.back().id;
        return edit;
    });
    if (!went)
        return;
    // The other one is drawn next where it is missing: marking needs both.
    const RegionKind other = kind == RegionKind::Lamp ? RegionKind::Screen : RegionKind::Lamp;
    if (!m_state.region(other))
        draw(other);
    m_state.chooseRegion(kind, made);
}

void RegionDrawing::remove(RegionKind kind)
{
    const session::Capture* capture = m_state.capture();
    const session::Region* region = m_state.region(kind);
    if (!capture || !region) {
        emit cue(tr("There is no such region to remove."));
        return;
    }
    m_model.edit(
        [&](const session::Document& document) { return session::removeRegion(document, capture->id, region->id); });
}

void RegionDrawing::showRegions()
{
    QVector<ShownRegion> shown;
    if (const session::Capture* capture = m_state.capture())
        for (const session::Region& region : capture->regions) {
            const session::Region* inUse = m_state.region(region.kind);
            shown << ShownRegion{region.kind, reading::rectOf(region), QString::fromStdString(region.name),
                                 inUse && inUse->id == region.id};
        }
    m_view.setRegions(shown);
}

} // namespace ui
