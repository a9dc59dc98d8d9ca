// The desk's actions with their keys.
#include "ui/desk/blind_packets.h"
#include "ui/desk/frame_message.h"
#include "ui/desk/desk_page.h"
#include "ui/desk/desk_views.h"
#include "ui/desk/playback.h"
#include "ui/desk/reading_progress.h"
#include "ui/desk/region_drawing.h"
#include "ui/desk/sheet_proposals.h"
#include "ui/desk/trial_panel.h"
#include "ui/desk/view_header.h"
#include "ui/footage/frame_reel.h"
#include "ui/footage/trace_view.h"

#include <QMenu>

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

} // namespace ui
