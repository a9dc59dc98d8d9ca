#include "ui/desk/reading_steps.h"
#include "core/analysis/blind_reading.h"
#include "core/reading/follow_frames.h"
#include "ui/desk/reading_progress.h"
#include "ui/look/own_keys.h"
#include "ui/model/file_paths.h"

#include <algorithm>
#include <utility>

namespace ui {

using session::Document;
using session::MarkKind;

namespace {

QString pressWanted()
{
    return ReadingSteps::tr("Mark the press first; then %1 says that there was no reaction.")
        .arg(keys::ownCap(QStringLiteral("N")));
}

} // namespace

ReadingSteps::ReadingSteps(SessionModel& model, FootagePool& pool, Captures& captures, DeskState& state,
                           QObject* parent)
    : QObject(parent), m_model(model), m_pool(pool), m_captures(captures), m_state(state), m_queue(model)
{
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        m_worker.stop();
        m_movesToCome = 0;
    });
    connect(&state, &DeskState::frameChanged, this, &ReadingSteps::endFlip);
    connect(&state, &DeskState::captureChanged, this, [this] {
        m_flip.reset();
        emit flipped({});
    });
}

void ReadingSteps::moving(std::function<void()> step)
{
    emit acting();
    m_awaited = {};
    ++m_movesToCome;
    m_queue.add([this, step = std::move(step)] {
        m_movesToCome = std::max(0, m_movesToCome - 1);
        step();
    });
}

void ReadingSteps::going(std::function<void()> step)
{
    emit acting();
    m_awaited = {};
    if (m_movesToCome > 0)
        m_queue.add(std::move(step));
    else
        step();
}

void ReadingSteps::changing(std::function<void()> step)
{
    emit acting();
    m_queue.add(std::move(step));
}

void ReadingSteps::changingTrial(const QString& without, std::function<void(const session::Trial&)> step)
{
    changing([this, without, step = std::move(step)] {
        if (const session::Trial* trial = currentOr(without))
            step(*trial);
    });
}

bool ReadingSteps::mayHaveTrial() const { return m_state.trial() || !m_queue.idle(); }

bool ReadingSteps::change(const SessionModel::MakeEdit& make)
{
    return m_model.edit([&](const Document& document) {
        session::Edit edit = make(document);
        if (m_state.blind())
            edit.label = "blind reading"; // undo would name the capture
        return edit;
    });
}

std::optional<reading::MarkRequest> ReadingSteps::request()
{
    const session::Capture* capture = m_state.capture();
    if (!capture) {
        emit cue(tr("There is nothing to mark yet: add footage first."));
        return {};
    }
    if (m_model.readOnly()) {
        emit cue(tr("The session is open read-only; nothing can be marked."));
        return {};
    }
    if (m_state.blind() && m_model.document()->settings.reader.empty()) {
        emit readerWanted();
        return {};
    }
    if (m_state.blind() && !m_state.place()) {
        emit cue(tr("Choose a trial of the blind reading first."));
        return {};
    }
    const Captures::Status status = m_captures.status(*capture);
    if (!m_captures.usable(*capture)) {
        emit cue(status.sentence.isEmpty() ? tr("Nothing was marked: the footage is still being opened.")
                                           : status.sentence);
        return {};
    }
    for (const session::RegionKind kind : {session::RegionKind::Lamp, session::RegionKind::Screen})
        if (!m_state.region(kind)) {
            emit regionWanted(kind);
            return {};
        }
    const QString path = m_model.footagePath(*capture);
    reading::MarkRequest request;
    request.footage = m_pool.footage(path);
    request.frame = m_state.frame();
    request.at = m_pool.picture(path, request.frame);
    if (request.frame.value > 0)
        request.before = m_pool.picture(path, request.frame - timing::FrameCount{1});
    request.lamp = *m_state.region(session::RegionKind::Lamp);
    request.screen = *m_state.region(session::RegionKind::Screen);
    return request;
}

void ReadingSteps::mark(MarkKind kind)
{
    emit acting();
    // The frame in view is known now, unless a key that moves is still waiting: then when its turn comes.
    struct Asked {
        session::CaptureId capture;
        std::optional<reading::MarkRequest> request;
        std::string view;
    };
    const auto ask = [this] { return Asked{m_state.captureId(), request(), m_view.toStdString()}; };
    std::optional<Asked> now;
    if (m_movesToCome == 0) {
        now = ask();
        if (!now->request)
            return;
    }
    m_queue.add(ActionQueue::Step([this, kind, now, ask](const ActionQueue::Done& done) {
        const Asked asked = now ? *now : ask();
        // The session's own by now: it may have been saved under another name since the key.
        const auto evidence = m_model.evidence();
        if (asked.request && !evidence)
            emit problem(tr("Nothing was marked: the session is being closed."));
        if (!asked.request || !evidence)
            return done();
        m_worker.run([request = *asked.request,
                      evidence](std::stop_token stop) { return reading::makeMark(request, *evidence, stop); },
                     [this, kind, asked, done](const reading::MadeMark& made) {
                         putMade(kind, asked.capture, *asked.request, made, asked.view);
                         done();
                     },
                     [this, done](const QString& sentence) {
                         emit problem(tr("Nothing was marked. %1").arg(sentence));
                         done();
                     });
    }));
}

/// The picture has been hashed; meanwhile decoding may have given the frames other numbers.
void ReadingSteps::putMade(MarkKind kind, session::CaptureId id, const reading::MarkRequest& request,
                           const reading::MadeMark& made, const std::string& view)
{
    const session::Capture* capture = session::find(*m_model.document(), id);
    if (!capture)
        return;
    const auto now = m_pool.footage(m_model.footagePath(*capture));
    const auto number = reading::numberIn(now ? *now : *request.footage, made);
    if (!number) {
        emit problem(tr("Nothing was marked: decoding has just found that the picture isn't a frame of %1. Mark again "
                        "what is in view now.")
                         .arg(QString::fromStdString(capture->name)));
        return;
    }
    session::Mark mark = made.mark;
    mark.frame = *number;
    put(kind, id, request, mark, view);
}

session::ReadingId ReadingSteps::target(const session::Trial& trial) const
{
    if (m_state.blind()) {
        const session::Reading* blind = inHand(trial);
        return blind ? blind->id : session::ReadingId{};
    }
    for (auto reading = trial.readings.rbegin(); reading != trial.readings.rend(); ++reading)
        if (!reading->accepted)
            return reading->id;
    return {};
}

const session::Reading* ReadingSteps::inHand(const session::Trial& trial) const
{
    if (const auto& reread = m_model.document()->settings.reread; m_state.blind() && reread)
        return session::blindReading(*reread, trial);
    const session::Reading* begun = session::findReading(trial, target(trial));
    return begun ? begun : session::countingReading(trial);
}

void ReadingSteps::put(MarkKind kind, session::CaptureId capture, const reading::MarkRequest& request,
                       const session::Mark& mark, const std::string& view)
{
    // By the session's numbers: where it hasn't followed yet what decoding found, it will by the mark's packet.
    const auto numbered = [&](const Document& document) {
        session::Mark known = mark;
        const session::Capture* in = session::find(document, capture);
        if (in && in->frames == request.footage->frameCount())
            known.frame = request.frame;
        return known;
    };
    const session::Trial* trial = m_state.trial();
    if (trial && trial->capture != capture)
        trial = nullptr;
    if (kind == MarkKind::Response && !trial) {
        emit cue(tr("Mark the press first: a response belongs to the press before it."));
        return;
    }
    if (m_state.blind()) {
        if (trial)
            change([&](const Document& document) {
                return session::markBlind(document, trial->id, kind, numbered(document), view);
            });
        return;
    }
    if (kind == MarkKind::Press && trial) {
        // Past the response of a trial that is complete, a press can only be the next one.
        const session::Reading* reading = session::countingReading(*trial);
        if (reading && session::isComplete(*reading) && reading->response && mark.frame > reading->response->frame)
            trial = nullptr;
    }
    if (trial) {
        change([&](const Document& document) {
            return session::setMark(document, trial->id, target(*trial), kind, numbered(document), view);
        });
        return;
    }
    session::TrialId made;
    const bool went = change([&](const Document& document) {
        session::Edit edit =
            session::addTrial(document, capture, request.lamp.id, request.screen.id, numbered(document), view);
        for (const session::Change& change : edit.changes)
            if (change.after && !change.before)
                if (const auto* added = std::get_if<session::Trial>(&*change.after))
                    made = added->id;
        return edit;
    });
    if (went)
        m_queue.then([this, made] { m_state.setTrial(made); });
}

const session::Trial* ReadingSteps::currentOr(const QString& sentence)
{
    const session::Trial* trial = m_state.trial();
    if (!trial)
        emit cue(sentence);
    return trial;
}

void ReadingSteps::clearLastMark()
{
    changingTrial(tr("There is no mark to clear: no trial is current."), [this](const session::Trial& trial) {
        const session::Reading* reading = inHand(trial);
        if (!reading || !(reading->press || reading->response))
            return;
        const MarkKind kind = reading->response ? MarkKind::Response : MarkKind::Press;
        change([&](const Document& document) { return session::clearMark(document, trial.id, reading->id, kind); });
    });
}

void ReadingSteps::noReaction()
{
    changingTrial(pressWanted(), [this](const session::Trial& trial) {
        const session::Reading* reading = inHand(trial);
        if (m_state.blind() && !reading) {
            emit cue(pressWanted());
            return;
        }
        const bool now = reading && reading->noReaction;
        change(
            [&](const Document& document) { return session::setNoReaction(document, trial.id, target(trial), !now); });
    });
}

void ReadingSteps::doubt()
{
    changingTrial(tr("There is nothing to doubt: no trial is current."), [this](const session::Trial& trial) {
        const session::Reading* reading = inHand(trial);
        if (m_state.blind() && !reading) {
            emit cue(tr("There is nothing to doubt yet: mark the press first."));
            return;
        }
        const bool now = reading && reading->doubtful;
        change([&](const Document& document) { return session::setDoubtful(document, trial.id, target(trial), !now); });
    });
}

void ReadingSteps::accept()
{
    moving([this] {
        const session::Trial* trial = m_state.trial();
        if (!trial && m_state.blind()) {
            goOn({});
            return;
        }
        if (!trial) {
            const session::TrialId next = nextToRead(*m_model.document(), m_state.captureId(), {});
            if (next)
                goOn({});
            else
                emit cue(tr("Nothing waits to be accepted: go to the next press and mark it with F."));
            return;
        }
        const session::TrialId id = trial->id;
        if (!trial->reject) {
            const session::Reading* reading = inHand(*trial);
            if (!reading || !session::isComplete(*reading)) {
                emit cue(reading && reading->press ? tr(
                             "The response isn't marked: R marks it, N says that there was none, X rejects the trial.")
                                                   : tr("The press isn't marked: F marks it."));
                return;
            }
            if (!reading->accepted
                && !change([&](const Document& document) { return session::acceptReading(document, id, reading->id); }))
                return;
        }
        goOnOnceIn(id);
    });
}

void ReadingSteps::reject(session::RejectReason reason, const QString& note)
{
    moving([this, reason, note] {
        const session::Trial* trial = currentOr(tr("There is nothing to reject: no trial is current."));
        if (!trial)
            return;
        const session::TrialId id = trial->id;
        if (change([&](const Document& document) {
                return session::rejectTrial(document, id, reason, note.toStdString());
            }))
            goOnOnceIn(id);
    });
}

void ReadingSteps::keep()
{
    changing([this] {
        if (const session::Trial* trial = m_state.trial(); trial && trial->reject)
            change([&](const Document& document) { return session::unrejectTrial(document, trial->id); });
    });
}

void ReadingSteps::readAgain()
{
    changingTrial(tr("Choose the trial that is to be read again."), [this](const session::Trial& trial) {
        if (!hiddenWhileBlind())
            change([&](const Document& document) { return session::beginReading(document, trial.id, false); });
    });
}

void ReadingSteps::removeTrial()
{
    changingTrial(tr("There is nothing to remove: no trial is current."), [this](const session::Trial& trial) {
        if (hiddenWhileBlind())
            return;
        const auto begun = std::ranges::find(trial.readings, false, &session::Reading::accepted);
        change([&](const Document& document) {
            return trial.readings.size() > 1 && begun != trial.readings.end()
                       ? session::dropReading(document, trial.id, begun->id)
                       : session::removeTrial(document, trial.id);
        });
    });
}

void ReadingSteps::countAnotherReading()
{
    changingTrial(tr("Choose the trial whose readings differ."), [this](const session::Trial& trial) {
        if (hiddenWhileBlind())
            return;
        const auto complete = [](const session::Reading& reading) { return session::isComplete(reading); };
        const auto& readings = trial.readings;
        if (std::ranges::count_if(readings, complete) < 2) {
            emit cue(tr("This trial has one reading: Read again begins another."));
            return;
        }
        auto next = std::ranges::find(readings, session::countingReading(trial)->id, &session::Reading::id);
        do
            next = std::next(next) == readings.end() ? readings.begin() : std::next(next);
        while (!complete(*next));
        const auto number = next - readings.begin() + 1;
        if (change([&](const Document& document) { return session::settleReading(document, trial.id, next->id); }))
            emit cue(tr("Reading %1 of %2 counts for this trial.").arg(number).arg(readings.size()));
    });
}

void ReadingSteps::tag(int position)
{
    changing([this, position] {
        if (hiddenWhileBlind())
            return;
        const auto configurations = session::inOrder(m_model.document()->configurations);
        if (position >= static_cast<int>(configurations.size())) {
            emit cue(configurations.empty() ? tr("There is no configuration yet: name the set-ups on the Plan page.")
                                            : tr("There is no configuration %1.").arg(position + 1));
            return;
        }
        tagNow(configurations[static_cast<std::size_t>(position)]->id);
    });
}

void ReadingSteps::tagWith(session::ConfigurationId id)
{
    changing([this, id] {
        if (!hiddenWhileBlind())
            tagNow(id);
    });
}

void ReadingSteps::tagNow(session::ConfigurationId id)
{
    if (const session::Trial* trial = m_state.trial())
        change([&](const Document& document) { return session::tagTrial(document, trial->id, id, trial->run); });
    else if (const session::Capture* capture = m_state.capture())
        change([&](const Document& document) { return session::tagCapture(document, capture->id, id, capture->run); });
}

void ReadingSteps::setNote(session::TrialId id, const QString& note)
{
    changing([this, id, note] {
        if (!session::find(*m_model.document(), id)) {
            emit cue(tr("The trial of this note is no longer there; its note wasn't kept."));
            return;
        }
        change([&](const Document& document) { return session::setTrialNote(document, id, note.toStdString()); });
    });
}

void ReadingSteps::undo()
{
    changing([this] {
        if (m_model.undoLabel().isEmpty())
            emit cue(tr("There is nothing to undo."));
        m_model.undo();
    });
}

void ReadingSteps::redo()
{
    changing([this] {
        if (m_model.redoLabel().isEmpty())
            emit cue(tr("There is nothing to redo."));
        m_model.redo();
    });
}

void ReadingSteps::saveAs(const QString& path)
{
    m_queue.add([this, path] { m_model.saveAs(path); });
}

} // namespace ui
