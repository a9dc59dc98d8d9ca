// What the desk is asked for by its keys and menus, and what its parts ask of each other.
#include "core/analysis/blind_reading.h"
#include "ui/desk/blind_packets.h"
#include "ui/desk/blind_panel.h"
#include "ui/desk/capture_table.h"
#include "ui/desk/configuration_list.h"
#include "ui/desk/frame_message.h"
#include "ui/desk/desk_dialogs.h"
#include "ui/desk/desk_page.h"
#include "ui/desk/evidence_pairs.h"
#include "ui/desk/desk_views.h"
#include "ui/desk/marks_table.h"
#include "ui/desk/playback.h"
#include "ui/desk/reading_progress.h"
#include "ui/desk/source_changes.h"
#include "ui/desk/region_drawing.h"
#include "ui/desk/reject_chooser.h"
#include "ui/desk/relink.h"
#include "ui/desk/sheet_proposals.h"
#include "ui/desk/mean_so_far_panel.h"
#include "ui/desk/start_page.h"
#include "ui/desk/todo_list.h"
#include "ui/desk/trial_list.h"
#include "ui/desk/trial_panel.h"
#include "ui/desk/view_header.h"
#include "ui/footage/frame_reel.h"
#include "ui/footage/trace_view.h"
#include "ui/look/own_keys.h"
#include <QStackedWidget>
#include <QTimer>
#include <algorithm>

namespace ui {

void DeskPage::connectSteps()
{
    const auto told = [this](const QString& sentence) { emit problem(sentence); };
    const auto cue = [this](const QString& sentence) { m_cue->show(sentence); };
    connect(&m_captures, &Captures::problem, this, told);
    connect(&m_steps, &ReadingSteps::problem, this, told);
    connect(m_relink, &Relink::told, this, told);
    connect(m_relink, &Relink::offered, this, [this](const QString& sentence, const std::function<void()>& link) {
        askWhetherToLink(*this, m_model, sentence, link);
    });
    connect(m_sourceChanges, &SourceChanges::problem, this, told);
    connect(m_sourceChanges, &SourceChanges::cue, this, cue);
    connect(m_views, &DeskViews::problem, this, told);
    connect(&m_steps, &ReadingSteps::cue, this, cue);
    connect(&m_steps, &ReadingSteps::acting, m_playback, &Playback::stop);
    connect(m_actions, &DeskActions::released, m_playback, &Playback::endTravel);
    connect(m_playback, &Playback::cue, this, cue);
    connect(m_playback, &Playback::sentenceChanged, this, &DeskPage::describePlaying);
    connect(m_regions, &RegionDrawing::cue, this, cue);
    connect(&m_steps, &ReadingSteps::regionWanted, this, [this](session::RegionKind kind) {
        m_cue->show(kind == session::RegionKind::Lamp
                        ? tr("Nothing was marked: draw the lamp region first, so that the evidence can be kept.")
                        : tr("Nothing was marked: draw the screen region first, so that the evidence can be kept."));
        m_regions->draw(kind);
    });
    connect(&m_steps, &ReadingSteps::framesPassed, this, [this] { m_cue->show({}); });
    connect(&m_steps, &ReadingSteps::flipped, m_views, &DeskViews::setFlipped);
    connect(&m_model, &SessionModel::changed, this, &DeskPage::refresh);
    connect(&m_captures, &Captures::incomingChanged, this, &DeskPage::refresh);
    connect(&m_captures, &Captures::added, this, [this](qint64 first) {
        // Where nothing is under way the analyst wants to see what came in.
        const session::Capture* capture = m_state.capture();
        if (capture && countOf(*m_model.document(), capture->id).trials == 0 && m_state.frame().value == 0)
            m_steps.goToCapture({first});
        if (m_captures.incoming().isEmpty()) {
            const auto untagged = std::ranges::count_if(m_model.document()->captures, [](const auto& item) {
                return !item.second->configuration && !item.second->run && !item.second->lampReference;
            });
            if (untagged > 1)
                m_cue->show(
                    tr("%n capture(s) (isn't|aren't) tagged: Ctrl T proposes configuration, run and camera of all.",
                       nullptr, int(untagged)));
        }
    });
    connect(&m_captures, &Captures::changed, this, &DeskPage::refresh);
    connect(&m_state, &DeskState::captureChanged, this, [this] {
        m_captures.setCurrent(m_state.captureId());
        refresh();
    });
    connect(&m_state, &DeskState::trialChanged, this, &DeskPage::refreshLeft);
    connect(&m_state, &DeskState::delaysShownChanged, this, [this] {
        m_showDelays->setChecked(m_state.delaysShown());
        m_traces->setDistanceShown(m_state.delaysShown());
        refreshLeft();
    });

    connect(m_start, &StartPage::addFootageAsked, this, [this] { addFootageAsked(false); });
    connect(m_start, &StartPage::openSessionAsked, this, &DeskPage::openSessionAsked);
    connect(m_start, &StartPage::openSampleAsked, this, &DeskPage::openSampleAsked);
    connect(m_start, &StartPage::firstSessionAsked, this, &DeskPage::firstSessionAsked);
    connect(m_configurations, &ConfigurationList::tagAsked, &m_steps, &ReadingSteps::tag);
    connect(&m_state, &DeskState::blindChanged, this, &DeskPage::blindChanged);
    connect(m_blind, &BlindPanel::stopAsked, this, &DeskPage::stopBlind);
    connect(m_blind, &BlindPanel::nameLeft, this, [this] { m_frame->setFocus(); });
    connect(m_blind, &BlindPanel::placeChosen, this, [this](qint64 trial) { m_steps.goToTrial({trial}); });
    connect(&m_steps, &ReadingSteps::readerWanted, this, [this] {
        m_cue->show(tr("Type your name first: readings are compared by reader."));
        m_blind->askName();
    });
    connect(&m_steps, &ReadingSteps::lastRead, this, [this] {
        const auto& reread = m_model.document()->settings.reread;
        if (reread && !reread->packet.empty()) {
            m_cue->show(tr("Every trial of the packet is read. Close the program and send the folder back."));
            return;
        }
        stopBlind();
        m_cue->show(tr("Every trial that was drawn is read. The Results page shows how the readings agree: %1.")
                        .arg(keys::ownCap(QStringLiteral("A"))));
    });
    connect(m_packets, &BlindPackets::problem, this, &DeskPage::problem);
    connect(m_packets, &BlindPackets::said, this, cue);
    connect(m_sheet, &SheetProposals::changed, this, &DeskPage::layOut);
    connect(m_sheet, &SheetProposals::cue, this, cue);
    connect(m_captureList, &CaptureList::chosen, &m_steps, &ReadingSteps::goToCapture);
    connect(m_captureList, &CaptureList::relinkAsked, this, &DeskPage::relinkAsked);
    connect(m_captureList, &CaptureList::menuAsked, this, &DeskPage::captureMenu);
    connect(m_trials, &TrialList::chosen, &m_steps, &ReadingSteps::goToTrial);
    connect(m_trials, &TrialList::frameChosen, this, [this](qint64 frame) {
        m_steps.leaveTrial();
        m_steps.goToFrame({frame});
    });
    connect(m_views, &DeskViews::hintsChanged, this, &DeskPage::propose);
    connect(m_views, &DeskViews::footageSlipsChanged, this,
            [this] { m_trial->setFootageSlips(m_views->footageSlips()); });
    connect(&m_state, &DeskState::trialChanged, this, &DeskPage::propose);
    connect(&m_state, &DeskState::frameChanged, this, &DeskPage::showWhetherProposed);
    connect(m_header, &ViewHeader::regionAsked, m_regions, &RegionDrawing::draw);
    connect(m_header, &ViewHeader::brightnessChanged, this, [this] {
        m_pairs->setBrightness(m_frame->gain(), m_frame->gamma());
        m_reel->setBrightness(m_frame->gain(), m_frame->gamma());
        describeView();
    });
    connect(m_frame, &FrameView::zoomChanged, this, &DeskPage::describeView);
    connect(m_traces, &TraceView::frameChosen, this, [this](qint64 frame) { m_steps.goToFrame({frame}); });
    connect(m_reel, &FrameReel::frameChosen, this, [this](qint64 frame) { m_steps.goToFrame({frame}); });

    connect(m_trial, &TrialPanel::markAsked, &m_steps, &ReadingSteps::mark);
    connect(m_trial, &TrialPanel::frameAsked, &m_steps, &ReadingSteps::goToFrame);
    connect(m_trial, &TrialPanel::acceptAsked, this, &DeskPage::acceptAsked);
    connect(m_trial, &TrialPanel::doubtAsked, &m_steps, &ReadingSteps::doubt);
    connect(m_trial, &TrialPanel::noReactionAsked, &m_steps, &ReadingSteps::noReaction);
    connect(m_trial, &TrialPanel::clearAsked, &m_steps, &ReadingSteps::clearLastMark);
    connect(m_trial, &TrialPanel::rejectAsked, this, &DeskPage::rejectAsked);
    connect(m_trial, &TrialPanel::configurationChosen, &m_steps, &ReadingSteps::tagWith);
    connect(m_trial, &TrialPanel::noteWritten, &m_steps, &ReadingSteps::setNote);
    connect(m_trial, &TrialPanel::noteLeft, this, [this] { m_frame->setFocus(); });
    connect(m_trial, &TrialPanel::regionChosen, &m_state, &DeskState::chooseRegion);
    connect(m_reject, &RejectChooser::chosen, &m_steps, &ReadingSteps::reject);
    connect(m_reject, &RejectChooser::keepAsked, &m_steps, &ReadingSteps::keep);
    for (const DeskOverlay* overlay : std::initializer_list<DeskOverlay*>{m_reject, m_todo, m_table, m_marks})
        connect(overlay, &DeskOverlay::closed, this, [this] { m_frame->setFocus(); });
    connect(m_table, &CaptureTable::cue, this, cue);
    connect(m_table, &CaptureTable::regionsWanted, this, [this](const std::set<session::CaptureId>& chosen) {
        m_table->tell(m_regions->copy(reading::CopyTo::Chosen, chosen));
    });
    connect(m_marks, &MarksTable::cue, this, cue);
    connect(m_marks, &MarksTable::problem, this, told);
    connect(m_todo, &TodoList::chosen, this, [this](const Todo& todo) {
        if (todo.trial) {
            m_steps.goToTrial(todo.trial);
            return;
        }
        m_steps.goToCapture(todo.capture);
        m_steps.leaveTrial();
        if (todo.frame >= 0)
            m_steps.goToFrame({todo.frame});
    });
}

void DeskPage::addFootageAsked(bool folder)
{
    askForFootage(*this, m_model, folder, [this](const QStringList& paths) { addFootage(paths); });
}

void DeskPage::relinkAsked(session::CaptureId id)
{
    if (const session::Capture* capture = session::find(*m_model.document(), id))
        askWhereFootageIs(*this, m_model, *capture, [this, id](const QString& path) { m_relink->relink(id, path); });
}

void DeskPage::readBlind()
{
    const auto document = m_model.document();
    const auto& reread = document->settings.reread;
    if (m_state.blind()) {
        stopBlind();
        return;
    }
    if (reread && analysis::rereadState(*document).next) {
        m_steps.beginBlind();
        return;
    }
    m_cue->show(askForBlindReading(m_model, *this, [this] {
        m_steps.beginBlind();
        m_frame->setFocus();
    }));
}

void DeskPage::stopBlind()
{
    m_state.setBlind(false);
    m_frame->setFocus();
}

void DeskPage::blindChanged()
{
    const bool blind = m_state.blind();
    m_leftViews->setCurrentIndex(blind ? 1 : 0);
    m_soFar->setVisible(!blind);
    m_room->setVisible(blind);
    if (blind && !m_state.place()) // a packet was opened: its first trial that waits
        QTimer::singleShot(0, this, [this] {
            if (m_state.blind() && !m_state.place())
                m_steps.beginBlind();
        });
    emit stateChanged();
}

void DeskPage::goToTrial(session::TrialId id)
{
    m_state.setBlind(false); // asked for from elsewhere: the blind reading waits
    m_steps.goToTrial(id);
}

/// The publish page makes it, so that what is published has one place.
void DeskPage::publishEvidence()
{
    const session::Trial* trial = m_state.trial();
    if (!trial || m_state.blind()) {
        m_cue->show(trial ? tr("While reading blind nothing is published.")
                          : tr("No trial is current: go to it first."));
        return;
    }
    const QString shown = QStringLiteral("%1:%2")
                              .arg(QString::fromStdString(m_state.capture()->name))
                              .arg(numberInCapture(*m_model.document(), *trial));
    m_model.edit([&](const session::Document& latest) {
        session::Settings settings = latest.settings;
        session::PublishSettings& publish = settings.publish;
        publish.shownTrials = shown.toStdString();
        publish.sideBySide = false;
        if (!publish.products.empty() && ("," + publish.products + ",").find(",evidence,") == std::string::npos)
            publish.products += ",evidence";
        return session::setSettings(latest, settings, tr("show the evidence of %1").arg(shown).toStdString());
    });
    emit goTo(QStringLiteral("Publish"));
}

void DeskPage::rejectAsked()
{
    m_playback->stop();
    if (!m_steps.mayHaveTrial()) {
        m_cue->show(atProposed() ? tr("Nobody has read this press: Enter takes it over, Del drops it.")
                                 : tr("There is nothing to reject: no trial is current."));
        return;
    }
    const session::Trial* trial = m_state.trial();
    m_reject->open(trial && !m_state.blind() ? tr("Reject trial %1").arg(numberInCapture(*m_model.document(), *trial))
                                             : tr("Reject the trial"),
                   trial && trial->reject);
}

bool DeskPage::waitsWhileBlind()
{
    if (m_state.blind())
        m_cue->show(tr("That waits until the blind reading is over."));
    return m_state.blind();
}

void DeskPage::todoAsked()
{
    m_playback->stop();
    if (waitsWhileBlind())
        return;
    const QVector<Todo> todos = todosOf(*m_model.document(), m_state.captureId(), m_proposed);
    if (todos.isEmpty())
        m_cue->show(tr("Nothing waits: every trial of the session is read, and none is in doubt, open or warned."));
    else
        m_todo->open(todos);
}

void DeskPage::tableAsked()
{
    if (waitsWhileBlind())
        return;
    if (m_model.document()->captures.empty())
        m_cue->show(tr("There are no captures yet: add footage first."));
    else if (m_model.readOnly())
        m_cue->show(tr("This session can't be changed, so its captures can't be tagged."));
    else
        m_table->open();
}

void DeskPage::marksAsked()
{
    m_playback->stop();
    if (waitsWhileBlind())
        return;
    if (m_model.document()->captures.empty())
        m_cue->show(tr("There are no captures yet: add the footage that the marks are of first."));
    else if (m_model.readOnly())
        m_cue->show(tr("This session can't be changed, so no marks can come in."));
    else
        m_marks->ask();
}

/// Presses that no trial of the capture has: those hinted, or until all of it has been looked through those on record
/// from the last time.
void DeskPage::propose()
{
    using session::RegionKind;
    const auto document = m_model.document(); // going on to a press may change it
    const session::Capture* capture = session::find(*document, m_state.captureId());
    session::PressFinding found;
    for (const reading::HintPair& pair : m_views->hints())
        found.proposed.push_back(reading::proposedPress(pair, capture->frames));
    const bool complete = m_views->hintsComplete();
    const session::Region* lamp = m_state.region(RegionKind::Lamp);
    const bool isOnRecord = capture && !capture->lampReference && !m_state.blind() && lamp
                            && lamp == session::firstRegion(*capture, RegionKind::Lamp);
    const bool isKnown = isOnRecord && !complete && capture->presses;
    const std::vector<session::ProposedPress>& proposed = isKnown ? capture->presses->proposed : found.proposed;
    QVector<qint64> all;
    for (const session::ProposedPress& press : proposed)
        all << press.frame.value;
    m_proposed.clear();
    if (capture)
        for (const session::ProposedPress& press : session::unreadAmong(proposed, *document, capture->id))
            m_proposed << press.frame.value;
    m_trials->setProposed(m_proposed);
    m_steps.setHinted(all, m_proposed, complete || isKnown);
    showWhetherProposed();
    refreshLeft();
    const bool isClosing = m_model.phase() == SessionModel::Phase::Closing;
    if (!isClosing && isOnRecord && complete && !m_model.readOnly() && capture->presses != found)
        m_model.edit([&, id = capture->id](const session::Document& latest) {
            return session::learnPresses(latest, id, std::move(found));
        });
}

void DeskPage::showDelays(bool shown)
{
    if (shown && m_state.blind()) {
        m_showDelays->setChecked(false);
        m_cue->show(tr("Delays are hidden while reading blind."));
        return;
    }
    // Asking is recorded, so that the method note can tell; a session that can't be changed shows them all the same.
    if (shown && !m_model.readOnly())
        m_model.edit(
            [](const session::Document& latest) { return session::recordEarlyLook(latest, "delays while reading"); });
    m_state.setDelaysShown(shown);
    m_showDelays->setChecked(shown);
}

void DeskPage::showWhetherProposed()
{
    m_trial->setAtProposed(m_proposed.contains(m_state.frame().value) && !m_state.blind() && !m_state.trial());
}

/// At a press that nobody has read, with no trial current.
bool DeskPage::atProposed() const
{
    return m_proposed.contains(m_state.frame().value) && !m_state.blind() && !m_steps.mayHaveTrial();
}

void DeskPage::removeAsked()
{
    if (m_views->busy()) {
        m_cue->show(tr("A region is being drawn: Enter keeps it, Esc leaves it as it was."));
    } else if (!atProposed()) {
        m_steps.removeTrial();
    } else if (!m_state.capture()->presses) {
        m_cue->show(tr("Presses can be dropped when the lamp's trace is whole."));
    } else if (m_model.edit([this](const session::Document& latest) {
                   return session::dropPress(latest, m_state.captureId(), m_state.frame());
               })) {
        m_cue->show(tr("Dropped: the press proposed here is none."));
    }
}

/// A proposed press is taken over as the press mark.
void DeskPage::acceptAsked()
{
    if (atProposed())
        m_steps.mark(session::MarkKind::Press);
    else
        m_steps.accept();
}

/// A held key travels at its own pace, not at the keyboard's; longer steps wait for each frame to be on the screen.
void DeskPage::stepBy(qint64 frames)
{
    if (!m_actions->held())
        m_steps.step({frames});
    else if (frames == 1 || frames == -1)
        m_playback->travel(static_cast<int>(frames));
    else if (m_views->caughtUp())
        m_steps.step({frames});
}

void DeskPage::toHint(int direction)
{
    m_playback->stop(); // from the frame that is seen
    if (m_state.blind()) {
        m_cue->show(tr("Hints are hidden while reading blind."));
        return;
    }
    // With its press marked a trial wants its response: the next press belongs to another trial.
    const session::Reading* reading = m_state.reading();
    if (direction > 0 && reading && reading->press && !reading->response && !reading->noReaction) {
        const auto pair = std::ranges::find_if(m_views->hints(), [&](const reading::HintPair& candidate) {
            return reading::belongsTo(candidate, reading->press->frame);
        });
        const bool ahead = pair != m_views->hints().end() && pair->response && pair->response->frame > m_state.frame();
        if (ahead)
            m_steps.goToFrame(pair->response->frame);
        else if (!m_views->hintsComplete())
            m_cue->show(tr("There is no hint of a response yet: the traces are still being worked out."));
        else
            m_cue->show(tr("There is no hint of a response before the next press: step on and look, "
                           "or %1 where nothing reacts.")
                            .arg(keys::ownCap(QStringLiteral("N"))));
        return;
    }
    const qint64 here = m_state.frame().value;
    auto next = reading::nextHint(m_views->hints(), {here}, direction);
    for (const qint64 press : std::as_const(m_proposed)) // on record they are known before the hints are
        if ((press - here) * direction > 0 && (!next || std::abs(press - here) < std::abs(next->value - here)))
            next = timing::FrameNumber{press};
    if (next)
        m_steps.goToFrame(*next);
    else if (!m_state.region(session::RegionKind::Lamp))
        m_cue->show(tr("Hints come from the traces: draw the lamp region first."));
    else
        m_cue->show(direction > 0 ? tr("There is no hint after this frame.")
                                  : tr("There is no hint before this frame."));
}

void DeskPage::besideCapture(int direction)
{
    if (waitsWhileBlind())
        return;
    const auto captures = session::inOrder(m_model.document()->captures);
    const auto current = std::ranges::find(captures, m_state.captureId(), &session::Capture::id);
    if (current == captures.end())
        return;
    const auto place = current - captures.begin() + direction;
    if (place >= 0 && place < static_cast<std::ptrdiff_t>(captures.size()))
        m_steps.goToCapture(captures[static_cast<std::size_t>(place)]->id);
}

void DeskPage::describePlaying()
{
    const QString sentence = m_playback->sentence();
    if (!sentence.isEmpty())
        m_cue->show({});
    m_playing->keep(sentence.isEmpty()
                        ? QString()
                        : sentence + QStringLiteral("  \u00b7  ")
                              + tr("%1 slower, %2 faster, %3 stop")
                                    .arg(keys::ownCap(QStringLiteral("V")), keys::ownCap(QStringLiteral("B")),
                                         keys::ownCap(QStringLiteral("P"))));
}

/// Goes into the readings: how the footage was looked at.
void DeskPage::describeView()
{
    QString view = tr("zoom %1, gain %2").arg(m_frame->zoom(), 0, 'g', 3).arg(m_frame->gain(), 0, 'f', 1);
    if (m_frame->gamma() != 1)
        view += tr(", gamma %1").arg(m_frame->gamma(), 0, 'f', 1);
    if (m_frame->isComparing())
        view += m_views->comparison() == Comparison::Press
                    ? tr(", change since the press by %1").arg(m_frame->changeGain())
                    : tr(", change since the frame before by %1").arg(m_frame->changeGain());
    if (m_localContrast->isChecked())
        view += tr(", local contrast");
    m_steps.setView(view);
}

} // namespace ui
