// The desk's actions with their keys, and what its parts ask of each other.
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

#include <QMenu>
#include <QStackedWidget>
#include <QTimer>
#include <algorithm>

namespace ui {

namespace {

const QString shift = QStringLiteral("Shift"), ctrl = QStringLiteral("Ctrl");

QString cap(const char* name) { return QString::fromLatin1(name); }

} // namespace

void DeskPage::makeActions()
{
    makeFootageActions();
    makeTrialActions();
    makeViewActions();

    // Most used first: a narrow window shows as many as fit. Last: it is there while reading blind, too.
    const auto bar = [this](const QStringList& caps, const QString& meaning, bool whileBlind = false) {
        m_actions->addHint({caps, meaning}, whileBlind);
    };
    const auto help = [this](const QStringList& caps, const QString& meaning, bool whileBlind = false) {
        m_actions->addHint({caps, meaning, false}, whileBlind);
    };
    bar({cap("Left"), cap("Right")}, tr("1 frame"), true);
    bar({shift}, tr("10"), true);
    bar({ctrl}, tr("100 frames"), true);
    bar({cap("Down"), cap("Up")}, tr("hint"));
    bar({cap("F")}, tr("press"), true);
    bar({cap("R")}, tr("response"), true);
    bar({cap("Enter")}, tr("accept"), true);
    bar({cap("D")}, tr("doubt"), true);
    bar({cap("X")}, tr("reject"), true);
    bar({QStringLiteral("1–9")}, tr("configuration"));
    bar({cap("Space")}, tr("flip pair"), true);
    bar({cap("N")}, tr("no reaction"), true);
    bar({cap("PgUp"), cap("PgDn")}, tr("trial"), true);
    help({shift, cap("Space")}, tr("flip with the last frame before the press"), true);
    help({cap("Home"), cap("End")}, tr("first and last frame"));
    help({cap("P")}, tr("play forward, stop"));
    help({shift, cap("P")}, tr("play backward, stop"));
    help({cap("V"), cap("B")}, tr("play slower, faster"));
    help({ctrl, cap("PgUp"), cap("PgDn")}, tr("capture before, after"));
    help({cap("O")}, tr("what is left to do, in all captures"));
    help({cap("Esc")}, tr("leave the trial: the next press begins one"));
    help({cap("Backspace")}, tr("clear the last mark"), true);
    help({cap("Del")}, tr("remove the trial, drop a proposed press"));
    help({ctrl, cap("T")}, tr("tag captures: configuration, run, camera"));
    help({cap("A")}, tr("accept what the run sheet proposes"));
    help({cap("T")}, tr("write a note"));
    help({cap("L"), cap("S")}, tr("draw the lamp region, the screen region"));
    help({shift, cap("L"), cap("S")}, tr("draw another one"));
    help({cap("M")}, tr("find the lamp from this frame on"));
    help({ctrl, cap("L")}, tr("copy the regions to all captures"));
    help({ctrl, shift, cap("L")}, tr("copy them to captures of the same camera"));
    help({cap("G"), cap("Y")}, tr("brighter, lift dark parts"));
    help({shift, cap("G"), cap("Y")}, tr("darker, lift them less"));
    help({cap("C")}, tr("show what changed since the press"), true);
    help({cap("W")}, tr("show what changed since the frame before"), true);
    help({cap("E")}, tr("reel of frames"), true);
    help({cap("K")}, tr("local contrast"));
    help({cap("I")}, tr("pixel values under the mouse"));
    help({cap("+"), cap("-"), cap("0")}, tr("zoom in, out, fit"));
    help({cap("["), cap("]")}, tr("more, fewer frames in the traces"));
    help({ctrl, cap("B")}, tr("read trials again, blind; stop"), true);
    help({ctrl, cap("D")}, tr("show delays; that is recorded"));
}

void DeskPage::makeFootageActions()
{
    DeskActions& a = *m_actions;
    a.add(Menu::Footage,
          {tr("&Add footage..."), {QKeySequence(tr("Ctrl+O"))}, [this] { addFootageAsked(false); }, false, true});
    a.add(Menu::Footage, {tr("Add a &folder..."), {}, [this] { addFootageAsked(true); }, false, true});
    a.addSeparator(Menu::Footage);
    a.add(Menu::Footage, {tr("&Previous capture"), {QKeySequence(tr("Ctrl+PgUp"))}, [this] { besideCapture(-1); }});
    a.add(Menu::Footage, {tr("&Next capture"), {QKeySequence(tr("Ctrl+PgDown"))}, [this] { besideCapture(+1); }});
    QMenu* capture = a.addSubmenu(Menu::Footage, tr("&This capture"));
    connect(capture, &QMenu::aboutToShow, this, [this, capture] {
        capture->clear();
        fillCaptureMenu(*capture, m_state.captureId());
    });
    a.add(Menu::Footage, {tr("&Tag captures..."), {QKeySequence(tr("Ctrl+T"))}, [this] { tableAsked(); }});
    a.add(Menu::Footage,
          {tr("Accept what the run sheet &proposes"), {QKeySequence(tr("A"))}, [this] { m_sheet->accept(); }});
    a.add(Menu::Footage, {tr("&Each capture is a run of its own"), {}, [this] { eachCaptureARun(); }});
    a.addSeparator(Menu::Footage);
    using session::RegionKind;
    a.add(Menu::Footage,
          {tr("Draw the &lamp region"), {QKeySequence(tr("L"))}, [this] { m_regions->draw(RegionKind::Lamp); }});
    a.add(Menu::Footage,
          {tr("Draw the &screen region"), {QKeySequence(tr("S"))}, [this] { m_regions->draw(RegionKind::Screen); }});
    a.add(Menu::Footage, {tr("Draw another lamp region"), {QKeySequence(tr("Shift+L"))}, [this] {
                              m_regions->drawAnother(RegionKind::Lamp);
                          }});
    a.add(Menu::Footage, {tr("Draw another screen region"), {QKeySequence(tr("Shift+S"))}, [this] {
                              m_regions->drawAnother(RegionKind::Screen);
                          }});
    a.add(Menu::Footage, {tr("&Find the lamp from this frame on"), {QKeySequence(tr("M"))}, [this] {
                              if (waitsWhileBlind())
                                  return;
                              m_playback->stop();
                              m_regions->findLamp();
                          }});
    const auto copy = [this](reading::CopyTo to) {
        if (waitsWhileBlind())
            return;
        if (const QString said = m_regions->copy(to); !said.isEmpty())
            m_cue->show(said);
    };
    a.add(Menu::Footage, {tr("&Copy the regions to all captures"), {QKeySequence(tr("Ctrl+L"))}, [copy] {
                              copy(reading::CopyTo::AllCaptures);
                          }});
    a.add(Menu::Footage, {tr("Copy the regions to captures of the same camera"),
                          {QKeySequence(tr("Ctrl+Shift+L"))},
                          [copy] { copy(reading::CopyTo::SameCamera); }});
    a.add(Menu::Footage, {tr("Name the lamp region..."), {}, [this] { m_regions->rename(RegionKind::Lamp); }});
    a.add(Menu::Footage, {tr("Name the screen region..."), {}, [this] { m_regions->rename(RegionKind::Screen); }});
    a.add(Menu::Footage, {tr("Remove the lamp region"), {}, [this] { m_regions->remove(RegionKind::Lamp); }});
    a.add(Menu::Footage, {tr("Remove the screen region"), {}, [this] { m_regions->remove(RegionKind::Screen); }});
}

void DeskPage::makeTrialActions()
{
    using session::MarkKind;
    DeskActions& a = *m_actions;
    a.add(Menu::Trial, {tr("Mark &press"), {QKeySequence(tr("F"))}, [this] { m_steps.mark(MarkKind::Press); }});
    a.add(Menu::Trial, {tr("Mark &response"), {QKeySequence(tr("R"))}, [this] { m_steps.mark(MarkKind::Response); }});
    a.add(Menu::Trial, {tr("&No reaction"), {QKeySequence(tr("N"))}, [this] { m_steps.noReaction(); }});
    a.add(Menu::Trial, {tr("&Doubt"), {QKeySequence(tr("D"))}, [this] { m_steps.doubt(); }});
    a.add(Menu::Trial, {tr("Re&ject..."), {QKeySequence(tr("X"))}, [this] { rejectAsked(); }});
    a.add(Menu::Trial, {tr("&Accept, go on"), {QKeySequence(Qt::Key_Return), QKeySequence(Qt::Key_Enter)}, [this] {
                            acceptAsked();
                        }});
    a.addSeparator(Menu::Trial);
    a.add(Menu::Trial,
          {tr("Pre&vious trial"), {QKeySequence(Qt::Key_PageUp)}, [this] { m_steps.previousTrial(); }, true});
    a.add(Menu::Trial, {tr("Ne&xt trial"), {QKeySequence(Qt::Key_PageDown)}, [this] { m_steps.nextTrial(); }, true});
    a.add(Menu::Trial, {tr("What is left to d&o"), {QKeySequence(tr("O"))}, [this] { todoAsked(); }});
    a.add(Menu::Trial, {tr("&Leave trial"), {QKeySequence(Qt::Key_Escape)}, [this] {
                            if (m_playback->isPlaying())
                                m_playback->stop();
                            else
                                m_steps.leaveTrial();
                        }});
    a.addSeparator(Menu::Trial);
    QMenu* configurations = a.addSubmenu(Menu::Trial, tr("&Configuration"));
    for (int i = 0; i < 9; ++i) // the digits work whether the menu has ever been opened or not
        a.add(*configurations, {{}, {QKeySequence(QString::number(i + 1))}, [this, i] { m_steps.tag(i); }});
    connect(configurations, &QMenu::aboutToShow, this,
            [this, configurations] { fillConfigurationMenu(*configurations); });
    fillConfigurationMenu(*configurations);
    a.add(Menu::Trial, {tr("Write a n&ote"), {QKeySequence(tr("T"))}, [this] { m_trial->focusNote(); }});
    a.add(Menu::Trial, {tr("P&ublish evidence of this trial..."), {}, [this] { publishEvidence(); }});
    a.add(Menu::Trial, {tr("Read a&gain"), {}, [this] { m_steps.readAgain(); }});
    a.add(Menu::Trial,
          {tr("Count another rea&ding"), {QKeySequence(tr("Ctrl+R"))}, [this] { m_steps.countAnotherReading(); }});
    a.add(Menu::Trial, {tr("Read &blind..."), {QKeySequence(tr("Ctrl+B"))}, [this] { readBlind(); }});
    a.add(Menu::Trial, {tr("&Hand out a blind packet..."), {}, [this] { m_packets->handOut(); }});
    a.add(Menu::Trial, {tr("Bring &in readings..."), {}, [this] { m_packets->bringIn(); }});
    a.add(Menu::Trial, {tr("Bring in mar&ks from a table..."), {}, [this] { marksAsked(); }});
    a.add(Menu::Trial,
          {tr("Clear the last &mark"), {QKeySequence(Qt::Key_Backspace)}, [this] { m_steps.clearLastMark(); }});
    a.add(Menu::Trial,
          {tr("Remove &trial, drop a proposed press"), {QKeySequence(Qt::Key_Delete)}, [this] { removeAsked(); }});
}

void DeskPage::makeViewActions()
{
    DeskActions& a = *m_actions;
    QMenu& frames = *a.addSubmenu(Menu::View, tr("&Frames"));
    const auto step = [&](const QString& text, const QString& key, qint64 distance) {
        a.add(frames, {text, {QKeySequence(key)}, [this, distance] { stepBy(distance); }, true});
    };
    step(tr("Next frame"), tr("Right"), 1);
    step(tr("Previous frame"), tr("Left"), -1);
    step(tr("10 frames on"), tr("Shift+Right"), 10);
    step(tr("10 frames back"), tr("Shift+Left"), -10);
    step(tr("100 frames on"), tr("Ctrl+Right"), 100);
    step(tr("100 frames back"), tr("Ctrl+Left"), -100);
    a.add(frames, {tr("First frame"), {Qt::Key_Home}, [this] { m_steps.goToFrame({0}); }, true});
    a.add(frames, {tr("Last frame"),
                   {Qt::Key_End},
                   [this] {
                       if (const session::Capture* capture = m_state.capture())
                           m_steps.goToFrame(lastFrame(*capture));
                   },
                   true});
    a.add(frames, {tr("Next hint"), {Qt::Key_Down}, [this] { toHint(+1); }, true});
    a.add(frames, {tr("Previous hint"), {Qt::Key_Up}, [this] { toHint(-1); }, true});
    a.add(frames, {tr("Flip pair"), {Qt::Key_Space}, [this] { m_steps.flipPair(); }, true});
    a.add(frames, {tr("Flip with the last frame before the press"),
                   {QKeyCombination(Qt::ShiftModifier, Qt::Key_Space)},
                   [this] { m_steps.flipToPress(); },
                   true});
    QMenu& play = *a.addSubmenu(Menu::View, tr("Pl&ay"));
    a.add(play, {tr("Play forward, or stop"), {QKeySequence(tr("P"))}, [this] { m_playback->play(+1); }});
    a.add(play, {tr("Play backward, or stop"), {QKeySequence(tr("Shift+P"))}, [this] { m_playback->play(-1); }});
    a.add(play, {tr("Slower"), {QKeySequence(tr("V"))}, [this] { m_playback->slower(); }, true});
    a.add(play, {tr("Faster"), {QKeySequence(tr("B"))}, [this] { m_playback->faster(); }, true});
    a.addSeparator(Menu::View);
    makeShowActions();
    a.addSeparator(Menu::View);
    a.add(Menu::View, {tr("&Brighter"), {QKeySequence(tr("G"))}, [this] { m_header->stepGain(+1); }, true});
    a.add(Menu::View, {tr("&Darker"), {QKeySequence(tr("Shift+G"))}, [this] { m_header->stepGain(-1); }, true});
    a.add(Menu::View, {tr("Lift dark par&ts"), {QKeySequence(tr("Y"))}, [this] { m_header->stepGamma(+1); }, true});
    a.add(Menu::View,
          {tr("Lift dark parts l&ess"), {QKeySequence(tr("Shift+Y"))}, [this] { m_header->stepGamma(-1); }, true});
    a.add(Menu::View,
          {tr("Zoom &in"), {QKeySequence(tr("+")), QKeySequence(tr("="))}, [this] { m_frame->zoomIn(); }, true});
    a.add(Menu::View, {tr("Zoom &out"), {QKeySequence(tr("-"))}, [this] { m_frame->zoomOut(); }, true});
    a.add(Menu::View, {tr("Fit the &picture"), {QKeySequence(tr("0"))}, [this] { m_frame->zoomFit(); }});
    a.add(Menu::View,
          {tr("&More frames in the traces"), {QKeySequence(tr("["))}, [this] { m_traces->showMore(); }, true});
    a.add(Menu::View,
          {tr("Fe&wer frames in the traces"), {QKeySequence(tr("]"))}, [this] { m_traces->showFewer(); }, true});
    m_showDelays = a.add(
        Menu::View, {tr("&Show delays"), {QKeySequence(tr("Ctrl+D"))}, [this] { showDelays(!m_state.delaysShown()); }});
    m_showDelays->setCheckable(true);
}

/// What the frame can show beside the plain picture: a key turns each on, and off again.
void DeskPage::makeShowActions()
{
    QList<QAction*> shown;
    const auto add = [&](const QString& text, const QString& key, std::function<void(bool)> turn) {
        QAction* action = m_actions->add(Menu::View, {text, {QKeySequence(key)}, [] {}});
        action->setCheckable(true);
        connect(action, &QAction::triggered, this, [turn = std::move(turn)](bool on) { turn(on); });
        shown << action;
        return action;
    };
    m_sincePress = add(tr("&Change since the press"), tr("C"),
                       [this](bool on) { compare(on ? Comparison::Press : Comparison::None); });
    m_sinceBefore = add(tr("C&hange since the frame before"), tr("W"),
                        [this](bool on) { compare(on ? Comparison::FrameBefore : Comparison::None); });
    add(tr("&Reel of frames"), tr("E"), [this](bool on) { m_reel->setVisible(on); });
    m_localContrast = add(tr("Local co&ntrast"), tr("K"), [this](bool on) {
        m_frame->setLocalContrast(on);
        describeView();
    });
    add(tr("Pi&xel values"), tr("I"), [this](bool on) { m_frame->setPixelShown(on); });
    m_header->setShowActions(shown);
}

void DeskPage::compare(Comparison with)
{
    m_sincePress->setChecked(with == Comparison::Press);
    m_sinceBefore->setChecked(with == Comparison::FrameBefore);
    m_views->setComparison(with);
    describeView();
}

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
                        .arg(keys::ownCap(cap("A"))));
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
                            .arg(keys::ownCap(cap("N"))));
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
                                    .arg(keys::ownCap(cap("V")), keys::ownCap(cap("B")), keys::ownCap(cap("P"))));
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
