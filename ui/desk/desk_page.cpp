#include "ui/desk/desk_page.h"
#include "core/analysis/blind_reading.h"
#include "ui/desk/blind_packets.h"
#include "ui/desk/blind_panel.h"
#include "ui/desk/capture_table.h"
#include "ui/desk/configuration_list.h"
#include "ui/desk/frame_message.h"
#include "ui/desk/evidence_pairs.h"
#include "ui/desk/desk_views.h"
#include "ui/desk/marks_table.h"
#include "ui/desk/playback.h"
#include "ui/desk/reading_progress.h"
#include "ui/desk/region_drawing.h"
#include "ui/desk/reject_chooser.h"
#include "ui/desk/source_changes.h"
#include "ui/desk/relink.h"
#include "ui/desk/sheet_proposals.h"
#include "ui/desk/mean_so_far_panel.h"
#include "ui/desk/start_page.h"
#include "ui/desk/todo_list.h"
#include "ui/desk/trial_list.h"
#include "ui/desk/trial_panel.h"
#include "ui/desk/view_header.h"
#include "ui/footage/frame_reel.h"
#include "ui/footage/frame_view.h"
#include "ui/footage/trace_view.h"
#include "ui/controls/layouts.h"
#include "ui/look/key_cap.h"
#include "ui/look/look.h"
#include "ui/look/own_keys.h"
#include "ui/look/panel.h"

#include <QHBoxLayout>
#include <QPainter>
#include <QScrollArea>
#include <QStackedWidget>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

// Columns at 1280 and at 1920 wide; between them they grow with the window.
constexpr int leftNarrow = 268, leftWide = 324, rightNarrow = 300, rightWide = 472, narrow = 1280, wide = 1920;
constexpr int tracesNarrow = 212, tracesWide = 250;
constexpr int reelNarrow = 120, reelWide = 156;

int between(int atNarrow, int atWide, int width)
{
    return atNarrow + (atWide - atNarrow) * (std::clamp(width, narrow, wide) - narrow) / (wide - narrow);
}

QVBoxLayout* column(QWidget* widget)
{
    auto* layout = new QVBoxLayout(widget);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(0);
    return layout;
}

/// A column of panels on the panels' colour.
QWidget* panelColumn()
{
    auto* widget = new QWidget;
    showPanel(*widget);
    return widget;
}

/// What an empty panel will hold, and the button that begins it.
QWidget* emptyPart(const QString& sentence, QPushButton* button)
{
    auto* part = new QWidget;
    auto* layout = new QVBoxLayout(part);
    layout->setContentsMargins(grid::padding, 0, grid::padding, 10);
    layout->setSpacing(8);
    layout->addWidget(emptyNote(sentence));
    button->setFocusPolicy(Qt::TabFocus);
    layout->addWidget(button, 0, Qt::AlignLeft);
    return part;
}

} // namespace

DeskPage::DeskPage(SessionModel& model, SessionResults& results, FootagePool& pool, QWidget* parent)
    : Page(parent), m_model(model), m_results(results), m_pool(pool), m_state(model), m_captures(model, pool, this),
      m_steps(model, pool, m_captures, m_state), m_actions(new DeskActions(*this))
{
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(0, 1, 0, 0);
    row->setSpacing(1);
    m_left = makeLeft();
    QWidget* middle = makeMiddle();
    m_right = makeRight();
    row->addWidget(m_left);
    row->addWidget(middle, 1);
    row->addWidget(m_right);

    m_reject = new RejectChooser(*middle, this);
    m_todo = new TodoList(*middle, this);
    m_table = new CaptureTable(model, *middle, this);
    m_marks = new MarksTable(model, pool, *middle, this);
    m_relink = new Relink(model, m_captures, this);
    m_sourceChanges = new SourceChanges(model, this);
    m_packets = new BlindPackets(model, *this);
    m_views = new DeskViews(model, pool, m_captures, m_state, {*m_frame, *m_reel, *m_pairs, *m_traces}, this);
    m_playback = new Playback(model, m_state, *m_views, this);
    m_regions = new RegionDrawing(model, pool, m_state, *m_frame, this);
    makeActions();
    connectSteps();
    refresh();
    propose(); // a session may be open before there is a desk
    describeView();
    blindChanged();
}

DeskPage::~DeskPage() = default;

QWidget* DeskPage::makeLeft()
{
    QWidget* left = panelColumn();
    QVBoxLayout* layout = column(left);

    m_configurationPanel = new Panel(tr("Configurations"));
    m_configurationPanel->body()->setContentsMargins(0, 0, 0, 8);
    m_configurations = new ConfigurationList(m_model, m_results, m_state);
    m_configurationScroll = scrolled(m_configurations);
    m_configurationPanel->body()->addWidget(m_configurationScroll);
    auto* plan = new QPushButton(tr("Plan configurations"));
    connect(plan, &QPushButton::clicked, this, [this] { emit goTo(QStringLiteral("Plan")); });
    m_noConfigurations =
        emptyPart(tr("None yet. Name the set-ups you compare; a digit then tags a capture or a trial."), plan);
    m_configurationPanel->body()->addWidget(m_noConfigurations);
    layout->addWidget(m_configurationPanel);

    m_capturePanel = new Panel(tr("Captures"));
    m_capturePanel->body()->setContentsMargins(0, 0, 0, 8);
    m_captureList = new CaptureList(m_model, m_state, m_captures);
    m_capturePanel->body()->addWidget(m_captureList);
    auto* add = new KeyButton(tr("Add footage"), {QStringLiteral("Ctrl"), QStringLiteral("O")});
    connect(add, &QPushButton::clicked, this, [this] { addFootageAsked(false); });
    m_noCaptures = emptyPart(tr("None yet. Each footage file becomes a capture with its own trials."), add);
    m_capturePanel->body()->addWidget(m_noCaptures);
    layout->addWidget(m_capturePanel);

    m_sheet = new SheetProposals(m_model);
    layout->addWidget(m_sheet);

    m_trialPanelList = new Panel(tr("Trials"));
    m_trialPanelList->body()->setContentsMargins(0, 0, 0, 0);
    m_trialPanelList->setHairline(false);
    m_trials = new TrialList(m_model, m_state);
    m_trialPanelList->body()->addWidget(m_trials, 1);
    m_noTrials = emptyNote({});
    m_noTrials->setAlignment(Qt::AlignTop);
    m_noTrials->setContentsMargins(grid::padding, 0, grid::padding, 10);
    m_trialPanelList->body()->addWidget(m_noTrials);
    layout->addWidget(m_trialPanelList, 1);
    layout->addStretch(0);

    QWidget* blind = panelColumn();
    m_blind = new BlindPanel(m_model, m_state);
    column(blind)->addWidget(m_blind);
    m_leftViews = new QStackedWidget;
    m_leftViews->addWidget(left);
    m_leftViews->addWidget(blind);
    return m_leftViews;
}

QWidget* DeskPage::makeMiddle()
{
    auto* middle = new QWidget;
    QVBoxLayout* layout = column(middle);
    layout->setSpacing(1);

    m_frame = new FrameView;
    m_cue = new FrameMessage(m_frame);
    m_cue->setObjectName(QStringLiteral("cue"));
    m_playing = new FrameMessage(m_frame, Qt::BottomEdge);
    m_header = new ViewHeader(m_state, *m_frame);
    m_header->setAutoFillBackground(true);
    m_reading = new QWidget;
    QVBoxLayout* reading = column(m_reading);
    reading->addWidget(m_header);
    reading->addWidget(m_frame, 1);
    m_reel = new FrameReel;
    m_reel->setAutoFillBackground(true);
    m_reel->hide();
    reading->addSpacing(1);
    reading->addWidget(m_reel);
    m_start = new StartPage;
    m_start->setAutoFillBackground(true);
    m_middle = new QStackedWidget;
    m_middle->addWidget(m_start);
    m_middle->addWidget(m_reading);
    layout->addWidget(m_middle, 1);

    m_tracePanel = new Panel(tr("Traces"));
    m_tracePanel->setHairline(false);
    m_tracePanel->setAutoFillBackground(true);
    m_tracePanel->addToHeader(new ShapeLabel(Shape::Press));
    m_tracePanel->addToHeader(new ShapeLabel(Shape::Response, tr("mark")));
    m_tracePanel->addToHeader(new ShapeLabel(Shape::PressHollow));
    m_tracePanel->addToHeader(new ShapeLabel(Shape::ResponseHollow, tr("hint")));
    m_traces = new TraceView;
    m_tracePanel->body()->addWidget(m_traces, 1);
    layout->addWidget(m_tracePanel);
    return middle;
}

QScrollArea* DeskPage::makeRight()
{
    auto* content = panelColumn();
    QVBoxLayout* layout = column(content);
    m_pairs = new EvidencePairs(m_model, m_pool, m_captures, m_state);
    layout->addWidget(m_pairs);
    m_trial = new TrialPanel(m_model, m_pool, m_state);
    layout->addWidget(m_trial);
    m_soFar = new MeanSoFarPanel(m_model, m_results, m_state);
    layout->addWidget(m_soFar, 1);
    m_room = new QWidget; // what is left below the trial while blind
    layout->addWidget(m_room, 1);
    return scrolled(content);
}

QString DeskPage::name() const { return QStringLiteral(QT_TRANSLATE_NOOP("ui::Page", "Read")); }

QString DeskPage::stateLine() const
{
    const session::Document& document = *m_model.document();
    if (document.captures.empty())
        return m_captures.incoming().isEmpty() ? tr("no footage") : tr("footage on its way in");
    if (m_state.blind()) {
        const analysis::RereadState state = analysis::rereadState(document);
        return tr("blind reading, %1 of %2").arg(state.done).arg(state.total);
    }
    const ReadingCount count = countOf(document);
    int planned = 0;
    for (const auto& [id, configuration] : document.configurations)
        planned += session::plannedTrials(document.settings.plan, id).value_or(0);
    if (count.read < planned)
        return tr("%1 of %2 to read").arg(planned - count.read).arg(planned);
    if (count.trials == 0 && count.proposed == 0)
        return tr("no trials");
    QStringList parts{tr("%1 read").arg(count.read)};
    if (count.begun() > 0)
        parts << tr("%1 begun").arg(count.begun());
    if (count.proposed > 0)
        parts << tr("%1 proposed").arg(count.proposed);
    return parts.join(QStringLiteral(", "));
}

QVector<KeyHint> DeskPage::keys() const
{
    if (m_model.document()->captures.empty())
        return {{{QStringLiteral("Ctrl"), QStringLiteral("O")}, tr("add footage")},
                {{QStringLiteral("Ctrl"), QStringLiteral("N")}, tr("new session")},
                {{QStringLiteral("Tab")}, tr("next control")}};
    return m_actions->hints(m_state.blind());
}

void DeskPage::entered()
{
    if (m_model.document()->captures.empty())
        m_start->setFocus();
    else
        m_frame->setFocus();
}

void DeskPage::setSampleOffered(bool offered) { m_start->setSampleOffered(offered); }

void DeskPage::setInFront(bool inFront)
{
    m_actions->setInFront(inFront);
    if (!inFront)
        m_playback->stop();
}

void DeskPage::stopPlaying() { m_playback->stop(); }

void DeskPage::leave()
{
    m_playback->stop();
    m_captures.cancelIncoming();
    m_frame->cancelRegion();
}

void DeskPage::refresh()
{
    const session::Document& document = *m_model.document();
    const bool any = !document.captures.empty();
    QWidget* middle = any ? m_reading : m_start;
    if (m_middle->currentWidget() != middle) {
        m_middle->setCurrentWidget(middle);
        if (isVisible())
            entered();
    }
    m_trial->setEnabled(any);
    const session::Capture* capture = m_state.capture();
    m_trial->setMarkable(capture && m_captures.usable(*capture));
    refreshLeft();
    emit stateChanged();
}

void DeskPage::refreshLeft()
{
    const session::Document& document = *m_model.document();
    const bool configurations = !document.configurations.empty();
    m_configurationScroll->setVisible(configurations);
    m_noConfigurations->setVisible(!configurations);
    m_configurationPanel->setTrailing(
        configurations ? m_state.delaysShown() ? tr("mean, %1 % interval, ms").arg(document.settings.plan.level * 100)
                                               : tr("trials read")
                       : QString());

    const bool captures = !document.captures.empty() || !m_captures.incoming().isEmpty();
    m_captureList->setVisible(captures);
    m_noCaptures->setVisible(!captures);
    int settled = 0;
    for (const auto& [id, capture] : document.captures)
        if (const session::Clock* clock = session::find(document, capture->clock))
            settled += session::stateOf(*clock) == session::ClockState::Settled;
    m_capturePanel->setTrailing(
        document.captures.empty()
            ? QString()
            : tr("%1 of %n clock(s) settled", nullptr, int(document.captures.size())).arg(settled));

    const session::Capture* capture = m_state.capture();
    const ReadingCount count = countOf(document, m_state.captureId());
    m_trialPanelList->setTitle(capture ? tr("Trials of %1").arg(QString::fromStdString(capture->name)) : tr("Trials"));
    const auto proposed = m_trials->proposed();
    const bool trials = count.trials > 0 || proposed > 0;
    m_trials->setVisible(trials);
    m_noTrials->setVisible(!trials);
    m_noTrials->setText(!capture || !m_state.region(session::RegionKind::Lamp) || !m_views->footage()
                            ? tr("None yet. With the lamp region drawn, every time the lamp lights is proposed; the "
                                 "press you mark begins a trial.")
                        : capture->lampReference ? tr("None: this is a lamp reference.")
                        : m_views->hintsComplete()
                            ? tr("None yet, and the lamp never lights in its region: %1 draws it "
                                 "anew.")
                                  .arg(keys::ownCap(QStringLiteral("L")))
                            : tr("None yet: the traces are being worked out, and every time the "
                                 "lamp lights will be proposed."));
    m_trialPanelList->setTrailing(
        trials ? tr("%1 done, %2 to read").arg(count.read + count.rejected).arg(count.begun() + proposed) : QString());

    QStringList underWay;
    const auto incoming = m_captures.incoming();
    for (const Captures::Incoming& item : incoming)
        if (item.step == Captures::Incoming::Step::Scanning)
            underWay << tr("Numbering the frames of %1, %2 %")
                            .arg(item.path.section(QLatin1Char('/'), -1))
                            .arg(qRound(item.progress * 100));
    if (underWay.isEmpty() && !incoming.isEmpty())
        underWay << tr("Footage is on its way in");
    m_start->setUnderWay(underWay.join(QLatin1Char('\n')));
    layOut();
}

void DeskPage::resizeEvent(QResizeEvent*) { layOut(); }

void DeskPage::layOut()
{
    m_left->setFixedWidth(between(leftNarrow, leftWide, width()));
    // Buttons in a longer language may need more than is usual.
    const int needed = m_right->widget()->minimumSizeHint().width();
    m_right->setFixedWidth(std::max(between(rightNarrow, rightWide, width()), needed));
    m_tracePanel->setFixedHeight(between(tracesNarrow, tracesWide, width()) * std::clamp(height(), 560, 1000) / 1000
                                 + 40);
    m_reel->setFixedHeight(between(reelNarrow, reelWide, width()));
    // Trials get what the other lists leave: at least a quarter where they need it.
    const int headers = 3 * grid::panelHeader + 24;
    const int configurations = std::min(m_configurations->sizeHint().height(), height() * 36 / 100);
    const int trials = std::max(60, std::min(m_trials->contentHeight(), height() / 4));
    const int proposals = m_sheet->any() ? m_sheet->sizeHint().height() : 0;
    const int captures = std::max(height() / 5, height() - headers - configurations - trials - proposals);
    m_configurationScroll->setFixedHeight(configurations);
    m_captureList->setFixedHeight(std::max(24, std::min(m_captureList->contentHeight(), captures)));
    // A low window leaves out what can be done without, so that nothing has to be scrolled.
    const bool low = height() < 840;
    m_trial->setLow(low);
    m_soFar->setLow(low);
}

void DeskPage::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), tokens().gutter);
}

} // namespace ui
