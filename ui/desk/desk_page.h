#pragma once
#include "ui/controls/page.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/desk/capture_list.h"
#include "ui/desk/desk_actions.h"
#include "ui/desk/desk_state.h"
#include "ui/desk/reading_steps.h"
#include "ui/desk/captures.h"
#include "ui/model/session_results.h"

class QLabel;
class QMenu;
class QScrollArea;
class QStackedWidget;

namespace ui {

class BlindPackets;
class BlindPanel;
class CaptureTable;
class ConfigurationList;
enum class Comparison;
class FrameMessage;
class EvidencePairs;
class DeskViews;
class FrameReel;
class FrameView;
class MarksTable;
class Panel;
class Playback;
class SourceChanges;
class RegionDrawing;
class RejectChooser;
class SheetProposals;
class MeanSoFarPanel;
class Relink;
class StartPage;
class TodoList;
class TraceView;
class TrialList;
class TrialPanel;
class ViewHeader;

/// The reading desk: configurations, captures and trials left, the frame and its traces in the middle, evidence and the
/// trial right.
class DeskPage : public Page {
    Q_OBJECT
public:
    using Menu = DeskActions::Menu;

    DeskPage(SessionModel& model, SessionResults& results, FootagePool& pool, QWidget* parent = nullptr);
    ~DeskPage() override;

    QString name() const override;
    QString stateLine() const override;
    QVector<KeyHint> keys() const override;
    void entered() override;

    QList<QAction*> menuActions(Menu menu) const { return m_actions->actions(menu); }
    void addFootage(const QStringList& filesAndFolders) { m_captures.add(filesAndFolders); }
    void setSampleOffered(bool offered);
    void setInFront(bool inFront);
    void stopPlaying();
    void showCapture(session::CaptureId id) { m_steps.goToCapture(id); }
    session::CaptureId captureInView() const { return m_state.captureId(); } ///< 0: none
    timing::FrameNumber frameInView() const { return m_state.frame(); }
    void goToTrial(session::TrialId id);
    BlindPackets& packets() const { return *m_packets; }
    void undo() { m_steps.undo(); } ///< waits for marks being made, so that it takes back the latest key's doing
    void redo() { m_steps.redo(); }
    void saveAs(const QString& path) { m_steps.saveAs(path); }
    bool quiet() const { return m_steps.quiet(); } ///< every key so far has had its effect
    void leave(); ///< the session is about to be closed: what is on its way in is dropped

signals:
    void openSessionAsked();
    void openSampleAsked();
    void firstSessionAsked();

protected:
    void resizeEvent(QResizeEvent*) override;
    void paintEvent(QPaintEvent*) override;

private:
    QWidget* makeLeft();
    QWidget* makeMiddle();
    QScrollArea* makeRight();
    void makeActions(); // desk_page_actions.cpp
    void makeFootageActions();
    void makeTrialActions();
    void makeViewActions();
    void makeShowActions();
    void compare(Comparison with);
    void refresh(); // desk_page.cpp
    void refreshLeft();
    void layOut();
    void captureMenu(session::CaptureId id, const QPoint& place); // desk_page_menus.cpp
    void fillCaptureMenu(QMenu& menu, session::CaptureId id);
    void fillRecordingMenu(QMenu& menu, const session::Capture& capture);
    void fillConfigurationMenu(QMenu& menu);
    void eachCaptureARun();
    void renameCapture(session::CaptureId id);
    void connectSteps(); // desk_page_asked.cpp
    void addFootageAsked(bool folder);
    void relinkAsked(session::CaptureId id);
    void rejectAsked();
    void publishEvidence();
    bool waitsWhileBlind(); ///< and says so
    void todoAsked();
    void tableAsked();
    void marksAsked();
    void showDelays(bool shown);
    void stepBy(qint64 frames);
    void toHint(int direction);
    void acceptAsked();
    void propose();
    void showWhetherProposed();
    bool atProposed() const;
    void removeAsked();
    void besideCapture(int direction);
    void describeView();
    void describePlaying();
    void readBlind();
    void stopBlind();
    void blindChanged();

    SessionModel& m_model;
    SessionResults& m_results;
    FootagePool& m_pool;
    DeskState m_state;
    Captures m_captures;
    ReadingSteps m_steps;
    QVector<qint64> m_proposed; ///< presses that no trial of the capture has
    DeskActions* m_actions;

    QScrollArea* m_right = nullptr;
    QWidget *m_left = nullptr, *m_reading = nullptr, *m_room = nullptr;
    QStackedWidget *m_middle = nullptr, *m_leftViews = nullptr;
    StartPage* m_start = nullptr;
    Panel *m_configurationPanel = nullptr, *m_capturePanel = nullptr, *m_trialPanelList = nullptr,
          *m_tracePanel = nullptr;
    QWidget *m_noConfigurations = nullptr, *m_noCaptures = nullptr, *m_configurationScroll = nullptr;
    QLabel* m_noTrials = nullptr;
    ConfigurationList* m_configurations = nullptr;
    CaptureList* m_captureList = nullptr;
    SheetProposals* m_sheet = nullptr;
    TrialList* m_trials = nullptr;
    FrameView* m_frame = nullptr;
    FrameReel* m_reel = nullptr;
    ViewHeader* m_header = nullptr;
    TraceView* m_traces = nullptr;
    FrameMessage *m_cue = nullptr, *m_playing = nullptr;
    EvidencePairs* m_pairs = nullptr;
    TrialPanel* m_trial = nullptr;
    MeanSoFarPanel* m_soFar = nullptr;
    RejectChooser* m_reject = nullptr;
    TodoList* m_todo = nullptr;
    CaptureTable* m_table = nullptr;
    MarksTable* m_marks = nullptr;
    RegionDrawing* m_regions = nullptr;
    DeskViews* m_views = nullptr;
    Playback* m_playback = nullptr;
    Relink* m_relink = nullptr;
    SourceChanges* m_sourceChanges = nullptr;
    BlindPanel* m_blind = nullptr;
    BlindPackets* m_packets = nullptr;
    QAction *m_showDelays = nullptr, *m_sincePress = nullptr, *m_sinceBefore = nullptr, *m_localContrast = nullptr;
};

} // namespace ui
