// The desk's actions with their keys, and what its parts ask of each other.
#include "core/analysis/blind_reading.h"
#include "core/reading/footage_lookup.h"
#include "ui/desk/blind_packets.h"
#include "ui/desk/blind_panel.h"
#include "ui/desk/capture_table.h"
#include "ui/desk/configuration_list.h"
#include "ui/desk/frame_message.h"
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
#include "ui/model/window_memory.h"

#include <QFileDialog>
#include <QFileInfo>
#include <QInputDialog>
#include <QDialog>
#include <QMenu>
#include <QMessageBox>
#include <QStackedWidget>
#include <QTimer>
#include <algorithm>

namespace ui {

namespace {

const QString shift = QStringLiteral("Shift"), ctrl = QStringLiteral("Ctrl");

QString cap(const char* name) { return QString::fromLatin1(name); }

/// Where footage was chosen last, also before the program was started; else beside the session.
void beginInFootageFolder(QFileDialog& dialog, const SessionModel& model)
{
    if (const QString last = memory::lastFootageFolder(); !last.isEmpty())
        dialog.setDirectory(last);
    else if (!model.isDraft())
        dialog.setDirectory(model.folder());
    QObject::connect(&dialog, &QFileDialog::filesSelected,
                     [&dialog] { memory::setLastFootageFolder(dialog.directory().absolutePath()); });
}

} // namespace

void DeskPage::makeActions()
{
    makeFootageActions();
    makeTrialActions();
    makeViewActions();

    // Most used first: a narrow window shows as many as fit.
    m_actions->addHint({{cap("Left"), cap("Right")}, tr("1 frame")});
    m_actions->addHint({{shift}, tr("10")});
    m_actions->addHint({{ctrl}, tr("100 frames")});
    m_actions->addHint({{cap("Down"), cap("Up")}, tr("hint")});
    m_actions->addHint({{cap("F")}, tr("press")});
    m_actions->addHint({{cap("R")}, tr("response")});
    m_actions->addHint({{cap("Enter")}, tr("accept")});
    m_actions->addHint({{cap("D")}, tr("doubt")});
    m_actions->addHint({{cap("X")}, tr("reject")});
    m_actions->addHint({{QStringLiteral("1–9")}, tr("configuration")});
    m_actions->addHint({{cap("Space")}, tr("flip pair")});
    m_actions->addHint({{cap("N")}, tr("no reaction")});
    m_actions->addHint({{cap("PgUp"), cap("PgDn")}, tr("trial")});
    const auto onlyHelp = [this](const QStringList& caps, const QString& meaning) {
        m_actions->addHint({caps, meaning, false});
    };
    onlyHelp({shift, cap("Space")}, tr("flip with the last frame before the press"));
    onlyHelp({cap("Home"), cap("End")}, tr("first and last frame"));
    onlyHelp({cap("P")}, tr("play forward, stop"));
    onlyHelp({shift, cap("P")}, tr("play backward, stop"));
    onlyHelp({cap("V"), cap("B")}, tr("play slower, faster"));
    onlyHelp({ctrl, cap("PgUp"), cap("PgDn")}, tr("capture before, after"));
    onlyHelp({cap("O")}, tr("what is left to do, in all captures"));
    onlyHelp({cap("Esc")}, tr("leave the trial: the next press begins one"));
    onlyHelp({cap("Backspace")}, tr("clear the last mark"));
    onlyHelp({cap("Del")}, tr("remove the trial, drop a proposed press"));
    onlyHelp({ctrl, cap("T")}, tr("tag captures: configuration, run, camera"));
    onlyHelp({cap("A")}, tr("accept what the run sheet proposes"));
    onlyHelp({cap("T")}, tr("write a note"));
    onlyHelp({cap("L"), cap("S")}, tr("draw the lamp region, the screen region"));
    onlyHelp({shift, cap("L"), cap("S")}, tr("draw another one"));
    onlyHelp({cap("M")}, tr("find the lamp from this frame on"));
    onlyHelp({ctrl, cap("L")}, tr("copy the regions to all captures"));
    onlyHelp({ctrl, shift, cap("L")}, tr("copy them to captures of the same camera"));
    onlyHelp({cap("G"), cap("Y")}, tr("brighter, lift dark parts"));
    onlyHelp({shift, cap("G"), cap("Y")}, tr("darker, lift them less"));
    onlyHelp({cap("C")}, tr("show what changed since the press"));
    onlyHelp({cap("W")}, tr("show what changed since the frame before"));
    onlyHelp({cap("E")}, tr("reel of frames"));
    onlyHelp({cap("K")}, tr("local contrast"));
    onlyHelp({cap("I")}, tr("pixel values under the mouse"));
    onlyHelp({cap("+"), cap("-"), cap("0")}, tr("zoom in, out, fit"));
    onlyHelp({cap("["), cap("]")}, tr("more, fewer frames in the traces"));
    onlyHelp({ctrl, cap("B")}, tr("read trials again, blind; stop"));
    onlyHelp({ctrl, cap("D")}, tr("show delays; that is recorded"));
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
    auto* capture = new QMenu(tr("&This capture"), this);
    connect(capture, &QMenu::aboutToShow, this, [this, capture] {
        capture->clear();
        fillCaptureMenu(*capture, m_state.captureId());
    });
    a.addSubmenu(Menu::Footage, capture);
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
        if (!waitsWhileBlind())
            m_regions->copy(to);
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
    auto* configurations = new QMenu(tr("&Configuration"), this);
    for (int i = 0; i < 9; ++i) {
        // The digits work whether the menu has ever been opened or not.
        QAction* action = configurations->addAction(QString());
        action->setShortcut(QKeySequence(QString::number(i + 1)));
        action->setAutoRepeat(false);
        connect(action, &QAction::triggered, this, [this, i] { m_steps.tag(i); });
        a.addLocal(action);
    }
    connect(configurations, &QMenu::aboutToShow, this,
            [this, configurations] { fillConfigurationMenu(*configurations); });
    fillConfigurationMenu(*configurations);
    a.addSubmenu(Menu::Trial, configurations);
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
    auto* frames = new QMenu(tr("&Frames"), this);
    const auto step = [&](const QString& text, const QString& key, qint64 distance) {
        QAction* action = frames->addAction(text);
        action->setShortcut(QKeySequence(key));
        connect(action, &QAction::triggered, this, [this, distance] { stepBy(distance); });
        a.addLocal(action);
    };
    step(tr("Next frame"), tr("Right"), 1);
    step(tr("Previous frame"), tr("Left"), -1);
    step(tr("10 frames on"), tr("Shift+Right"), 10);
    step(tr("10 frames back"), tr("Shift+Left"), -10);
    step(tr("100 frames on"), tr("Ctrl+Right"), 100);
    step(tr("100 frames back"), tr("Ctrl+Left"), -100);
    const auto jump = [&](const QString& text, const QKeySequence& key, std::function<void()> run) {
        QAction* action = frames->addAction(text);
        action->setShortcut(key);
        connect(action, &QAction::triggered, this, [run = std::move(run)] { run(); });
        a.addLocal(action);
    };
    jump(tr("First frame"), Qt::Key_Home, [this] { m_steps.goToFrame({0}); });
    jump(tr("Last frame"), Qt::Key_End, [this] {
        if (const session::Capture* capture = m_state.capture())
            m_steps.goToFrame(lastFrame(*capture));
    });
    jump(tr("Next hint"), Qt::Key_Down, [this] { toHint(+1); });
    jump(tr("Previous hint"), Qt::Key_Up, [this] { toHint(-1); });
    jump(tr("Flip pair"), Qt::Key_Space, [this] { m_steps.flipPair(); });
    jump(tr("Flip with the last frame before the press"), QKeyCombination(Qt::ShiftModifier, Qt::Key_Space),
         [this] { m_steps.flipToPress(); });
    a.addSubmenu(Menu::View, frames);
    auto* play = new QMenu(tr("Pl&ay"), this);
    const auto playing = [&](const QString& text, const QString& key, bool repeats, std::function<void()> run) {
        QAction* action = play->addAction(text);
        action->setShortcut(QKeySequence(key));
        action->setAutoRepeat(repeats);
        connect(action, &QAction::triggered, this, [run = std::move(run)] { run(); });
        a.addLocal(action);
    };
    playing(tr("Play forward, or stop"), tr("P"), false, [this] { m_playback->play(+1); });
    playing(tr("Play backward, or stop"), tr("Shift+P"), false, [this] { m_playback->play(-1); });
    playing(tr("Slower"), tr("V"), true, [this] { m_playback->slower(); });
    playing(tr("Faster"), tr("B"), true, [this] { m_playback->faster(); });
    a.addSubmenu(Menu::View, play);
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
    connect(m_relink, &Relink::offered, this, &DeskPage::offerLink);
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
    connect(m_packets, &BlindPackets::said, this, [this](const QString& sentence) { m_cue->show(sentence); });
    connect(m_sheet, &SheetProposals::changed, this, &DeskPage::layOut);
    connect(m_sheet, &SheetProposals::cue, m_cue, [this](const QString& sentence) { m_cue->show(sentence); });
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
    connect(m_trial, &TrialPanel::acceptAsked, &m_steps, &ReadingSteps::accept);
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
    auto* dialog = new QFileDialog(this, folder ? tr("Add a folder") : tr("Add footage"));
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    if (folder) {
        dialog->setFileMode(QFileDialog::Directory);
    } else {
        QStringList patterns;
        for (const std::string& ending : reading::filmEndings())
            for (const QString& one : {QString::fromStdString(ending), QString::fromStdString(ending).toUpper()})
                patterns << QStringLiteral("*.") + one;
        dialog->setFileMode(QFileDialog::ExistingFiles);
        dialog->setNameFilters({tr("Footage (%1)").arg(patterns.join(QLatin1Char(' '))), tr("All files (*)")});
    }
    beginInFootageFolder(*dialog, m_model);
    connect(dialog, &QFileDialog::filesSelected, this, &DeskPage::addFootage);
    dialog->open();
}

void DeskPage::offerLink(const QString& sentence, const std::function<void()>& link)
{
    auto* question =
        new QMessageBox(QMessageBox::Question, tr("Link the footage?"), sentence, QMessageBox::NoButton, this);
    question->setObjectName(QStringLiteral("linkQuestion"));
    question->setAttribute(Qt::WA_DeleteOnClose);
    question->setTextFormat(Qt::PlainText); // names of files may be anything
    const auto* yes = question->addButton(tr("Link it"), QMessageBox::AcceptRole);
    question->addButton(tr("Leave it absent"), QMessageBox::RejectRole);
    connect(&m_model, &SessionModel::sessionReplaced, question, &QDialog::reject);
    connect(question, &QDialog::finished, this, [question, yes, link] {
        if (question->clickedButton() == yes)
            link();
    });
    question->open();
}

void DeskPage::relinkAsked(session::CaptureId id)
{
    const session::Capture* capture = session::find(*m_model.document(), id);
    if (!capture)
        return;
    auto* dialog =
        new QFileDialog(this, tr("Where is the footage of %1 now?").arg(QString::fromStdString(capture->name)));
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setFileMode(capture->pictureFolder ? QFileDialog::Directory : QFileDialog::ExistingFile);
    beginInFootageFolder(*dialog, m_model);
    connect(dialog, &QFileDialog::fileSelected, this, [this, id](const QString& path) { m_relink->relink(id, path); });
    dialog->open();
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
    QString lacks;
    if (QDialog* dialog = blindDialog(
            m_model, this,
            [this] {
                m_steps.beginBlind();
                m_frame->setFocus();
            },
            lacks))
        dialog->open();
    else
        m_cue->show(lacks);
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
        m_cue->show(tr("There is nothing to reject: no trial is current."));
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

/// Hinted presses that no trial of the capture has.
void DeskPage::propose()
{
    m_proposed.clear();
    QVector<qint64> hinted;
    session::PressFinding found;
    const auto document = m_model.document(); // going on to a press may change it
    const session::Capture* capture = session::find(*document, m_state.captureId());
    for (const reading::HintPair& pair : m_views->hints()) {
        hinted << pair.press.frame.value;
        found.proposed.push_back(reading::proposedPress(pair, capture->frames));
    }
    if (capture)
        for (const session::ProposedPress& press : session::unreadAmong(found.proposed, *document, capture->id))
            m_proposed << press.frame.value;
    m_trials->setProposed(m_proposed);
    m_steps.setHinted(hinted, m_proposed, m_views->hintsComplete());
    refreshLeft();
    using session::RegionKind;
    const bool isOnRecord = capture && !capture->lampReference
                            && m_state.region(RegionKind::Lamp) == session::firstRegion(*capture, RegionKind::Lamp);
    const bool isClosing = m_model.phase() == SessionModel::Phase::Closing;
    if (!isClosing && isOnRecord && m_views->hintsComplete() && !m_model.readOnly() && capture->presses != found)
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
    if (const auto frame = reading::nextHint(m_views->hints(), m_state.frame(), direction))
        m_steps.goToFrame(*frame);
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
