#include "ui/desk/region_drawing.h"
#include "core/reading/make_mark.h"
#include "ui/controls/numbers.h"
#include "ui/desk/desk_dialogs.h"
#include "ui/look/own_keys.h"

#include <algorithm>

namespace ui {

using session::RegionKind;

RegionDrawing::RegionDrawing(SessionModel& model, FootagePool& pool, DeskState& state, FrameView& view, QObject* parent)
    : QObject(parent), m_model(model), m_pool(pool), m_state(state), m_view(view)
{
    connect(&view, &FrameView::regionDrawn, this, &RegionDrawing::drawn);
    connect(&state, &DeskState::regionsChanged, this, &RegionDrawing::showRegions);
    connect(&state, &DeskState::captureChanged, this, [this] {
        m_search.request_stop();
        m_view.cancelRegion();
    });
    showRegions(); // a session may be open before there is a desk
}

bool RegionDrawing::mayChange()
{
    m_search.request_stop();
    if (m_state.capture() && m_model.readOnly())
        emit cue(tr("The session is open read-only; its regions stay."));
    return m_state.capture() && !m_model.readOnly();
}

void RegionDrawing::draw(RegionKind kind)
{
    if (!mayChange())
        return;
    const session::Region* region = m_state.region(kind);
    m_replaced = region ? region->id : session::RegionId{};
    m_view.cancelRegion();
    m_view.beginRegion(kind, region ? std::optional(reading::rectOf(*region)) : std::nullopt);
}

void RegionDrawing::drawAnother(RegionKind kind)
{
    if (!mayChange())
        return;
    m_replaced = {};
    m_view.cancelRegion();
    m_view.beginRegion(kind);
}

void RegionDrawing::findLamp()
{
    if (!mayChange())
        return;
    const session::Capture& capture = *m_state.capture();
    const auto footage = m_pool.footage(m_model.footagePath(capture));
    if (!footage) {
        emit cue(tr("The lamp can't be looked for while there are no pictures."));
        return;
    }
    std::vector<media::Rect> screens;
    for (const session::Region& region : capture.regions)
        if (region.kind == RegionKind::Screen)
            screens.push_back(reading::rectOf(region));
    emit cue(tr("Looking for the lamp from this frame on: the first spot that lights up."));
    const auto done = [this, id = capture.id, from = m_state.frame()](const std::optional<reading::FoundLamp>& lamp) {
        lampFound(lamp, id, from);
    };
    m_search = m_worker.run(
        [footage, from = m_state.frame(), screens, event = m_model.document()->settings.event.lamp](
            const std::stop_token& stop) { return reading::findLamp(footage, from, screens, event, stop); },
        done, [this](const QString& sentence) { emit cue(sentence); });
}

void RegionDrawing::lampFound(const std::optional<reading::FoundLamp>& lamp, session::CaptureId in,
                              timing::FrameNumber from)
{
    const session::Capture* capture = m_state.capture();
    if (!capture || capture->id != in || m_view.isDrawingRegion())
        return;
    if (!lamp) {
        emit cue(tr("Nothing outside the screen regions lights up from frame %1 on. Go to a frame shortly before a "
                    "press, or draw the lamp region with %2.")
                     .arg(from.value)
                     .arg(keys::ownCap(QStringLiteral("L"))));
        return;
    }
    const session::Region* region = m_state.region(RegionKind::Lamp);
    const auto rect = region ? std::optional(reading::rectOf(*region)) : std::nullopt;
    const media::Rect on = reading::regionOn(lamp->spot, rect, {capture->width, capture->height});
    constexpr int near = 2; // pixels: no closer than the search tells
    if (rect && std::abs(on.x - rect->x) <= near && std::abs(on.y - rect->y) <= near) {
        emit cue(tr("The lamp region is on the lamp already: it lights in frame %1.").arg(lamp->frame.value));
        return;
    }
    m_replaced = region ? region->id : session::RegionId{};
    m_view.proposeRegion(RegionKind::Lamp, on);
    emit cue(tr("A lamp lights here about frame %1. Enter takes the region, Esc leaves it as it was.")
                 .arg(lamp->frame.value));
}

QString RegionDrawing::copy(reading::CopyTo to, const std::set<session::CaptureId>& chosen)
{
    if (!mayChange())
        return {};
    reading::CopiedRegions copied;
    const session::Capture& capture = *m_state.capture();
    const QString name = QString::fromStdString(capture.name);
    try {
        copied = reading::copyRegions(*m_model.document(), capture.id, to, chosen);
    } catch (const core::Error& error) {
        return QString::fromUtf8(error.what());
    }
    if (copied.captures > 0 && !m_model.edit([&](const session::Document& latest) {
            return reading::copyRegions(latest, capture.id, to, chosen).edit;
        }))
        return {}; // the window has said why
    QStringList said;
    said << (copied.captures > 0 ? tr("%1 took the regions of %2; Ctrl Z takes that back.")
                                       .arg(tr("%n capture(s)", nullptr, copied.captures), name)
                                 : tr("No capture took the regions of %1.").arg(name));
    if (copied.read > 0)
        said << tr("%1 stayed where trials are read in regions of the same name.")
                    .arg(tr("%n capture(s)", nullptr, copied.read));
    if (copied.otherSize > 0)
        said << tr("%1 stayed whose picture has another size.").arg(tr("%n capture(s)", nullptr, copied.otherSize));
    return said.join(QLatin1Char(' '));
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
        session::Edit edit = reading::drawRegion(document, capture->id, region);
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

void RegionDrawing::rename(RegionKind kind)
{
    const session::Region* region = m_state.region(kind);
    if (!region) {
        emit cue(tr("There is no such region to name."));
        return;
    }
    if (!mayChange())
        return;
    askForName(m_view, kind == RegionKind::Lamp ? tr("Name the lamp region") : tr("Name the screen region"),
               QString::fromStdString(region->name),
               [this, capture = m_state.captureId(), id = region->id](const QString& name) {
                   const session::Capture* in = session::find(*m_model.document(), capture);
                   if (!in || !session::findRegion(*in, id))
                       return; // it went while the name was typed
                   m_model.edit([&](const session::Document& latest) {
                       session::Region renamed = *session::findRegion(*session::find(latest, capture), id);
                       renamed.name = name.toStdString();
                       return session::setRegion(latest, capture, renamed);
                   });
               });
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
