#include "ui/desk/desk_state.h"
#include "ui/desk/reading_progress.h"
#include "ui/model/window_memory.h"

#include <algorithm>

namespace ui {

namespace {

/// The first capture with a trial that isn't done, else the first one with trials, else the first one.
session::CaptureId whereToBegin(const session::Document& document)
{
    session::CaptureId begin;
    bool anyTrials = false;
    for (const session::Capture* capture : session::inOrder(document.captures)) {
        const ReadingCount count = countOf(document, capture->id);
        if (count.toRead() > 0)
            return capture->id;
        if (!begin || (!anyTrials && count.trials > 0))
            begin = capture->id;
        anyTrials = anyTrials || count.trials > 0;
    }
    return begin;
}

} // namespace

DeskState::DeskState(SessionModel& model, QObject* parent) : QObject(parent), m_model(model)
{
    connect(&model, &SessionModel::sessionReplaced, this, &DeskState::replaced);
    connect(&model, &SessionModel::changed, this, &DeskState::follow);
    connect(&model, &SessionModel::savedAs, this, [this](const QString& path) { m_session = path; });
    const auto& reread = model.document()->settings.reread;
    m_blind = reread && !reread->packet.empty();
    goToLastPlace();
    follow();
}

void DeskState::goToLastPlace()
{
    m_session = m_model.path();
    const auto place = m_blind ? std::nullopt : memory::place(m_session);
    if (const session::CaptureId last{place ? place->first : 0}; session::find(*m_model.document(), last)) {
        m_lastFrames[last] = {std::max<qint64>(0, place->second)};
        setCapture(last);
        setFrame(m_frame); // no further than the capture goes
    }
}

void DeskState::keepPlace() const
{
    if (m_capture && !m_blind)
        memory::setPlace(m_session, m_capture.value, m_frame.value);
}

void DeskState::replaced()
{
    keepPlace();
    m_lastFrames.clear();
    m_chosen.clear();
    m_capture = {};
    m_trial = {};
    m_frame = {};
    emit captureChanged(); // first: nothing that was found in the session before holds for this one
    // Whoever opens a session is about to read: delays show only when asked for in it.
    setDelaysShown(false);
    const auto& reread = m_model.document()->settings.reread;
    m_blind = reread && !reread->packet.empty();
    emit blindChanged();
    goToLastPlace();
    follow();
}

void DeskState::follow()
{
    if (m_blind && !m_model.document()->settings.reread)
        setBlind(false); // the drawing was undone
    if (!capture())
        if (const session::CaptureId next = whereToBegin(*m_model.document()); next != m_capture)
            setCapture(next);
    const session::Trial* current = trial();
    if (m_trial && (!current || current->capture != m_capture))
        m_trial = {};
    emit regionsChanged();
    emit trialChanged();
}

const session::Capture* DeskState::capture() const { return session::find(*m_model.document(), m_capture); }

const session::Trial* DeskState::trial() const { return session::find(*m_model.document(), m_trial); }

const session::Reading* DeskState::reading() const
{
    const session::Trial* current = trial();
    if (!current)
        return nullptr;
    const auto& reread = m_model.document()->settings.reread;
    return m_blind && reread ? session::blindReading(*reread, *current) : session::countingReading(*current);
}

session::ConfigurationId DeskState::configuration() const
{
    if (const session::Trial* current = trial())
        return current->configuration;
    return capture() ? capture()->configuration : session::ConfigurationId{};
}

const session::RereadPlace* DeskState::place() const
{
    const auto& reread = m_model.document()->settings.reread;
    if (!m_blind || !reread || !m_trial)
        return nullptr;
    const auto found = std::ranges::find(reread->places, m_trial, &session::RereadPlace::trial);
    return found == reread->places.end() ? nullptr : &*found;
}

timing::FrameNumber DeskState::firstFrame() const
{
    const session::RereadPlace* shown = place();
    return shown ? shown->first : timing::FrameNumber{};
}

void DeskState::setBlind(bool blind)
{
    const auto& reread = m_model.document()->settings.reread;
    blind = reread && (blind || !reread->packet.empty());
    if (blind == m_blind)
        return;
    m_blind = blind;
    if (blind)
        setDelaysShown(false);
    emit blindChanged();
    emit trialChanged();
    emit frameChanged();
}

const session::Region* DeskState::region(session::RegionKind kind) const
{
    const session::Capture* current = capture();
    if (!current)
        return nullptr;
    const bool lamp = kind == session::RegionKind::Lamp;
    if (const session::Trial* read = trial())
        if (const session::Region* own = session::findRegion(*current, lamp ? read->lamp : read->screen))
            return own;
    if (const auto chosen = m_chosen.find(m_capture); chosen != m_chosen.end())
        if (const auto id = chosen->second.find(kind); id != chosen->second.end())
            if (const session::Region* region = session::findRegion(*current, id->second))
                return region;
    const auto first = std::ranges::find(current->regions, kind, &session::Region::kind);
    return first == current->regions.end() ? nullptr : &*first;
}

void DeskState::chooseRegion(session::RegionKind kind, session::RegionId id)
{
    m_chosen[m_capture][kind] = id;
    emit regionsChanged();
}

void DeskState::setCapture(session::CaptureId id)
{
    if (id == m_capture)
        return;
    if (m_capture)
        m_lastFrames[m_capture] = m_frame;
    m_capture = id;
    m_trial = {};
    const auto last = m_lastFrames.find(id);
    m_frame = last == m_lastFrames.end() ? timing::FrameNumber{} : last->second;
    emit captureChanged();
    emit regionsChanged();
    emit trialChanged();
    emit frameChanged();
}

void DeskState::setTrial(session::TrialId id)
{
    if (id == m_trial)
        return;
    m_trial = id;
    emit regionsChanged();
    emit trialChanged();
}

void DeskState::setFrame(timing::FrameNumber n)
{
    const session::Capture* current = capture();
    timing::FrameNumber first, last = current ? lastFrame(*current) : first;
    if (const session::RereadPlace* shown = place()) {
        last = std::min(last, shown->last);
        first = std::min(last, shown->first);
    }
    const timing::FrameNumber clamped = std::clamp(n, first, last);
    if (clamped == m_frame)
        return;
    m_frame = clamped;
    emit frameChanged();
}

void DeskState::followFrames(session::CaptureId id, const std::function<timing::FrameNumber(timing::FrameNumber)>& now)
{
    if (const auto last = m_lastFrames.find(id); last != m_lastFrames.end())
        last->second = now(last->second);
    if (id == m_capture)
        setFrame(now(m_frame));
}

void DeskState::setDelaysShown(bool shown)
{
    if (shown == m_delaysShown || (shown && m_blind))
        return;
    m_delaysShown = shown;
    emit delaysShownChanged();
}

} // namespace ui
