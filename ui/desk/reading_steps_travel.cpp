// ReadingSteps: going about in the footage, from frame to frame and from trial to trial.
#include "core/analysis/blind_reading.h"
#include "ui/desk/reading_progress.h"
#include "ui/desk/reading_steps.h"

#include <algorithm>

namespace ui {

void ReadingSteps::step(timing::FrameCount distance)
{
    going([this, distance] {
        m_state.setFrame(m_state.frame() + distance);
        emit framesPassed();
    });
}

void ReadingSteps::goToFrame(timing::FrameNumber n)
{
    going([this, n] {
        m_state.setFrame(n);
        emit framesPassed();
    });
}

void ReadingSteps::flipPair()
{
    going([this] {
        const timing::FrameNumber here = m_state.frame();
        if (!m_flip && here.value > 0)
            emit flipped(here);
        flip(here.value > 0 ? std::optional(here - timing::FrameCount{1}) : std::nullopt);
    });
}

void ReadingSteps::flipToPress()
{
    going([this] {
        const session::Reading* reading = m_state.reading();
        if (!m_flip && (!reading || !reading->press))
            emit cue(tr("Mark the press first: this flips with the last frame before it."));
        else
            flip(reading && reading->press && reading->press->frame.value > 0
                     ? std::optional(reading->press->frame - timing::FrameCount{1})
                     : std::nullopt);
    });
}

void ReadingSteps::flip(std::optional<timing::FrameNumber> to)
{
    if (const auto now = m_flip) {
        m_state.setFrame(now->from); // which ends the flip
    } else if (to && *to != m_state.frame()) {
        m_flip = {m_state.frame(), *to};
        m_state.setFrame(*to);
    }
}

void ReadingSteps::endFlip()
{
    if (m_flip && m_flip->to != m_state.frame()) {
        m_flip.reset();
        emit flipped({});
    }
}

void ReadingSteps::previousTrial()
{
    moving([this] { besides(-1); });
}

void ReadingSteps::nextTrial()
{
    moving([this] { besides(+1); });
}

void ReadingSteps::besides(int direction)
{
    if (m_state.blind()) {
        const auto& places = m_model.document()->settings.reread->places;
        for (auto at = static_cast<std::ptrdiff_t>(blindPlace()) + direction; at >= 0 && at < std::ssize(places);
             at += direction)
            if (const session::Trial* trial =
                    session::find(*m_model.document(), places[static_cast<std::size_t>(at)].trial)) {
                showTrial(*trial);
                return;
            }
        return;
    }
    const auto trials = session::trialsOf(*m_model.document(), m_state.captureId());
    const auto pressed = [](const session::Trial* trial) {
        const session::Reading* reading = session::countingReading(*trial);
        return reading && reading->press ? std::optional(reading->press->frame) : std::nullopt;
    };
    const auto current = std::ranges::find(trials, m_state.trialId(), &session::Trial::id);
    const session::Trial* next = nullptr;
    if (current != trials.end()) {
        const auto place = current - trials.begin() + direction;
        if (place >= 0 && place < static_cast<std::ptrdiff_t>(trials.size()))
            next = trials[static_cast<std::size_t>(place)];
    } else if (direction > 0) {
        const auto after = std::ranges::find_if(trials, [&](auto* t) { return pressed(t) > m_state.frame(); });
        next = after == trials.end() ? nullptr : *after;
    } else {
        for (const session::Trial* trial : trials)
            if (const auto press = pressed(trial); press && *press < m_state.frame())
                next = trial;
    }
    if (next)
        showTrial(*next);
    else if (direction > 0)
        m_state.setTrial({}); // past the last one the next press mark begins a trial
}

void ReadingSteps::showTrial(const session::Trial& trial)
{
    m_state.setCapture(trial.capture);
    m_state.setTrial(trial.id);
    const session::Reading* reading = m_state.reading();
    if (reading && reading->press)
        m_state.setFrame(reading->press->frame);
    else if (m_state.blind())
        m_state.setFrame(m_state.firstFrame());
    emit framesPassed();
}

void ReadingSteps::beginBlind()
{
    moving([this] {
        m_state.setBlind(true);
        goOn({});
    });
}

std::size_t ReadingSteps::blindPlace() const
{
    const auto& reread = m_model.document()->settings.reread;
    return reread ? static_cast<std::size_t>(
               std::ranges::find(reread->places, m_state.trialId(), &session::RereadPlace::trial)
               - reread->places.begin())
                  : 0;
}

bool ReadingSteps::hiddenWhileBlind()
{
    if (m_state.blind())
        emit cue(tr("That waits until the blind reading is over."));
    return m_state.blind();
}

void ReadingSteps::goToTrial(session::TrialId id)
{
    moving([this, id] {
        if (const session::Trial* trial = session::find(*m_model.document(), id))
            showTrial(*trial);
    });
}

void ReadingSteps::goToCapture(session::CaptureId id)
{
    moving([this, id] {
        if (!m_state.blind())
            m_state.setCapture(id);
    });
}

void ReadingSteps::leaveTrial()
{
    moving([this] {
        if (!hiddenWhileBlind())
            m_state.setTrial({});
    });
}

/// Once the session holds the change that ends the trial.
void ReadingSteps::goOnOnceIn(session::TrialId from)
{
    ++m_movesToCome;
    m_queue.then([this, from] {
        m_movesToCome = std::max(0, m_movesToCome - 1);
        goOn(from);
    });
}

void ReadingSteps::goOn(session::TrialId from)
{
    if (m_state.blind()) {
        const session::Document& document = *m_model.document();
        const std::size_t here = blindPlace();
        const auto next =
            analysis::nextPlace(document, from && here < document.settings.reread->places.size() ? here + 1 : 0);
        if (next)
            showTrial(*session::find(document, document.settings.reread->places[*next].trial));
        else
            emit lastRead();
        return;
    }
    const session::TrialId next = nextToRead(*m_model.document(), m_state.captureId(), from);
    const session::Trial* trial = session::find(*m_model.document(), next);
    if (goOnToHint(from, trial))
        return;
    if (trial)
        showTrial(*trial);
    else
        m_state.setTrial({});
}

/// Where the trial began at a hinted press: to the next press that nobody has read, if it comes before `next`, and
/// after the last one into the next capture that isn't read.
bool ReadingSteps::goOnToHint(session::TrialId from, const session::Trial* next)
{
    constexpr qint64 near = 12; // frames that a mark may lie from its hint
    const auto pressOf = [](const session::Trial* trial) -> std::optional<qint64> {
        const session::Reading* reading = trial ? session::countingReading(*trial) : nullptr;
        return reading && reading->press ? std::optional<qint64>(reading->press->frame.value) : std::nullopt;
    };
    const session::Document& document = *m_model.document();
    const auto here = pressOf(session::find(document, from));
    if (!here || std::ranges::none_of(m_hinted, [&](qint64 hint) { return std::abs(hint - *here) <= near; }))
        return false;
    const auto after = std::ranges::upper_bound(m_unread, *here);
    const auto ofNext = pressOf(next);
    const bool nextIsAhead = ofNext && *ofNext > *here;
    if (after == m_unread.end() && !nextIsAhead && !m_hintsComplete) {
        emit cue(tr("The next press is looked for."));
        m_state.setTrial({});
        m_awaited = {m_state.captureId(), from, *here};
        return true;
    }
    if (after != m_unread.end() && !(nextIsAhead && *ofNext < *after)) {
        goToPress(*after);
        return true;
    }
    if (next)
        return false;
    if (!m_unread.isEmpty()) {
        goToPress(m_unread.front());
        return true;
    }
    auto captures = session::inOrder(document.captures);
    const auto current = std::ranges::find(captures, m_state.captureId(), &session::Capture::id);
    if (current != captures.end())
        std::ranges::rotate(captures, std::next(current)); // those before it too, after the last
    for (auto capture = captures.begin(); capture != captures.end() && (*capture)->id != m_state.captureId();
         ++capture) {
        const ReadingCount count = countOf(document, (*capture)->id);
        if ((*capture)->lampReference || ((count.trials > 0 || (*capture)->presses) && count.toRead() == 0))
            continue;
        emit cue(tr("That was the last press of %1; this is %2.")
                     .arg(QString::fromStdString(m_state.capture()->name), QString::fromStdString((*capture)->name)));
        const session::TrialId first = nextToRead(document, (*capture)->id, {});
        if (const session::Trial* begun = session::find(document, first)) {
            showTrial(*begun);
        } else {
            m_awaited = {(*capture)->id, {}, -1};
            m_state.setCapture((*capture)->id);
        }
        return true;
    }
    emit cue(tr("That was the last press that nobody had read."));
    return false;
}

void ReadingSteps::goToPress(qint64 frame)
{
    m_state.setTrial({});
    m_state.setFrame({frame});
    emit framesPassed();
}

void ReadingSteps::setHinted(const QVector<qint64>& presses, const QVector<qint64>& unread, bool complete)
{
    m_hinted = presses;
    m_unread = unread;
    m_hintsComplete = complete;
    if (!m_awaited.capture)
        return;
    const auto next = std::ranges::upper_bound(m_unread, m_awaited.after);
    const bool left = m_awaited.capture != m_state.captureId() || m_state.trial();
    if (!left && next == m_unread.end() && !complete)
        return;
    const Awaited awaited = std::exchange(m_awaited, {});
    if (left)
        return;
    if (next != m_unread.end())
        goToPress(*next);
    else if (awaited.from)
        goOn(awaited.from);
}

} // namespace ui
