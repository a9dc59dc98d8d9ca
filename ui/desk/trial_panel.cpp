#include "ui/desk/trial_panel.h"
#include "core/report/correction_words.h"
#include "core/analysis/slips.h"
#include "core/analysis/figures.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/desk/mark_row.h"
#include "ui/desk/reading_progress.h"
#include "ui/footage/trace_view.h"
#include "ui/look/key_cap.h"
#include "ui/look/look.h"
#include "ui/look/panel.h"

#include <QHBoxLayout>
#include <QKeyEvent>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

constexpr int labelWidth = 92, noConfiguration = 0;

/// "delay   counts once both are marked": sign and word as wide as those of the mark rows.
QWidget* line(Shape shape, const QString& word, QWidget* content, ShapeLabel** sign = nullptr)
{
    auto* whole = new QWidget;
    auto* row = new QHBoxLayout(whole);
    row->setContentsMargins(grid::padding, 0, grid::padding, 0);
    row->setSpacing(0);
    auto* label = new ShapeLabel(shape, word, Text::Body, Tone::Secondary);
    label->setFixedWidth(labelWidth);
    label->setMinimumHeight(grid::row);
    row->addWidget(label, 0, Qt::AlignTop);
    row->addWidget(content, 1, Qt::AlignVCenter);
    if (sign)
        *sign = label;
    return whole;
}

/// What of the delay isn't counted: "; with rows +0.11 ± 0.02 ms".
QString added(const analysis::TrialOutcome& outcome)
{
    const std::string words = report::correctionWords(outcome.corrections);
    return words.empty() ? QString() : TrialPanel::tr("; with %1").arg(QString::fromStdString(words));
}

QString noteWords() { return TrialPanel::tr("free text, kept with the trial"); }

} // namespace

TrialPanel::TrialPanel(SessionModel& model, FootagePool& pool, DeskState& state, QWidget* parent)
    : QWidget(parent), m_model(model), m_pool(pool), m_state(state)
{
    auto* outer = new QVBoxLayout(this);
    outer->setContentsMargins(0, 0, 0, 0);
    m_panel = new Panel(tr("Trial"));
    outer->addWidget(m_panel);
    QVBoxLayout& body = *m_panel->body();
    body.setContentsMargins(0, 0, 0, 10);
    body.setSpacing(2);

    m_configuration = new ChoiceBox;
    m_configuration->setFocusPolicy(Qt::TabFocus);
    m_configuration->setAccessibleName(tr("Configuration of the trial"));
    m_configuration->setMinimumContentsLength(8);
    m_configuration->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    auto* choice = new QHBoxLayout;
    choice->setContentsMargins(grid::padding, 0, grid::padding, 4);
    choice->addWidget(m_configuration);
    body.addLayout(choice);
    connect(m_configuration, &ChoiceBox::chosen, this, [this](qint64 id) { emit configurationChosen({id}); });

    m_regions = new QWidget;
    auto* regions = new QHBoxLayout(m_regions);
    regions->setContentsMargins(grid::padding, 0, grid::padding, 4);
    regions->setSpacing(8);
    m_lamps = new ChoiceBox;
    m_screens = new ChoiceBox;
    for (ChoiceBox* box : {m_lamps, m_screens}) {
        box->setFocusPolicy(Qt::TabFocus);
        regions->addWidget(box, 1);
        const auto kind = box == m_lamps ? session::RegionKind::Lamp : session::RegionKind::Screen;
        connect(box, &ChoiceBox::chosen, this, [this, kind](qint64 id) { emit regionChosen(kind, {id}); });
    }
    m_lamps->setAccessibleName(tr("Lamp region of the trial"));
    m_screens->setAccessibleName(tr("Screen region of the trial"));
    body.addWidget(m_regions);

    m_press = new MarkRow(tr("press"), {QStringLiteral("F")});
    m_response = new MarkRow(tr("response"), {QStringLiteral("R")});
    body.addWidget(m_press);
    body.addWidget(m_response);
    connect(m_press, &MarkRow::keyAsked, this, [this] { emit markAsked(session::MarkKind::Press); });
    connect(m_response, &MarkRow::keyAsked, this, [this] { emit markAsked(session::MarkKind::Response); });
    const auto go = [this](std::optional<session::Mark> session::Reading::*mark) {
        if (const session::Reading* reading = shownReading(); reading && reading->*mark)
            emit frameAsked((reading->*mark)->frame);
    };
    connect(m_press, &MarkRow::goAsked, this, [go] { go(&session::Reading::press); });
    connect(m_response, &MarkRow::goAsked, this, [go] { go(&session::Reading::response); });

    m_delay = wrapping({}, Text::Body, Tone::Secondary);
    body.addWidget(line(Shape::Delay, tr("delay"), m_delay));
    m_note = new CommitEdit(noteWords());
    m_note->setAccessibleName(tr("Note"));
    m_note->setFocusPolicy(Qt::StrongFocus);
    makeCompact(*m_note);
    m_note->installEventFilter(this);
    body.addWidget(line(Shape::Note, tr("note"), m_note));
    connect(m_note, &CommitEdit::committed, this, [this](const QString& text) {
        if (m_noteOf)
            emit noteWritten(m_noteOf, text);
    });
    m_checks = wrapping({}, Text::Body, Tone::Secondary);
    m_checksLine = line(Shape::Check, tr("checks"), m_checks, &m_checksSign);
    body.addWidget(m_checksLine);

    const auto button = [this](const QString& text, const char* cap, void (TrialPanel::*asked)()) {
        auto* made = new KeyButton(text, {QString::fromLatin1(cap)});
        made->setFocusPolicy(Qt::TabFocus);
        connect(made, &QPushButton::clicked, this, asked);
        return made;
    };
    m_accept = button(tr("Accept"), "Enter", &TrialPanel::acceptAsked);
    m_doubt = button(tr("Doubt"), "D", &TrialPanel::doubtAsked);
    m_reject = button(tr("Reject"), "X", &TrialPanel::rejectAsked);
    m_noReaction = button(tr("No reaction"), "N", &TrialPanel::noReactionAsked);
    m_clear = button(tr("Clear mark"), "Backspace", &TrialPanel::clearAsked);
    makeCompact(*m_noReaction);
    makeCompact(*m_clear);
    auto* first = new QHBoxLayout;
    first->setContentsMargins(grid::padding, 6, grid::padding, 4);
    first->setSpacing(6);
    first->addWidget(m_accept, 1);
    first->addWidget(m_doubt);
    first->addWidget(m_reject);
    body.addLayout(first);
    m_more = new QWidget;
    auto* second = new QHBoxLayout(m_more);
    second->setContentsMargins(grid::padding, 0, grid::padding, 0);
    second->setSpacing(6);
    second->addWidget(m_noReaction);
    second->addWidget(m_clear);
    second->addStretch(1);
    body.addWidget(m_more);
    connect(&state, &DeskState::trialChanged, this, &TrialPanel::refresh);
    connect(&state, &DeskState::regionsChanged, this, &TrialPanel::refreshChoices);
    connect(&state, &DeskState::delaysShownChanged, this, &TrialPanel::refresh);
    connect(&state, &DeskState::frameChanged, this, &TrialPanel::refreshMarks);
    refresh();
}

bool TrialPanel::eventFilter(QObject* watched, QEvent* event)
{
    if (watched == m_note && event->type() == QEvent::KeyPress) {
        const int key = static_cast<QKeyEvent*>(event)->key();
        const bool enter = key == Qt::Key_Return || key == Qt::Key_Enter;
        if (enter || key == Qt::Key_Escape) {
            if (!enter)
                m_note->setText(m_note->value());
            m_note->commit();
            refresh();
            emit noteLeft();
            return true;
        }
    }
    return QWidget::eventFilter(watched, event);
}

void TrialPanel::focusNote()
{
    if (m_noteOf && !m_note->isEnabled())
        return;
    // Whoever types a note means no keys of the desk by it, even where there is nothing to note.
    m_note->setEnabled(true);
    m_note->setReadOnly(!m_noteOf);
    m_note->setPlaceholderText(m_noteOf ? noteWords() : tr("no trial to note; Esc"));
    m_note->setFocus(Qt::ShortcutFocusReason);
}

void TrialPanel::setFootageSlips(const QStringList& slips)
{
    if (slips != std::exchange(m_footageSlips, slips))
        refresh();
}

void TrialPanel::setLow(bool low)
{
    if (low == std::exchange(m_low, low))
        return;
    m_more->setVisible(!low);
    refresh();
}

void TrialPanel::setMarkable(bool markable)
{
    if (markable == std::exchange(m_markable, markable))
        return;
    refreshMarks();
}

void TrialPanel::setAtProposed(bool at)
{
    if (at != std::exchange(m_atProposed, at))
        refresh();
}

/// A further reading that has been begun takes the marks, so it is the one to see.
const session::Reading* TrialPanel::shownReading() const
{
    const session::Trial* trial = m_state.trial();
    if (!trial)
        return nullptr;
    if (m_state.blind())
        return m_state.reading();
    for (auto reading = trial->readings.rbegin(); reading != trial->readings.rend(); ++reading)
        if (!reading->accepted)
            return &*reading;
    return session::countingReading(*trial);
}

void TrialPanel::refresh()
{
    const session::Document& document = *m_model.document();
    const session::Trial* trial = m_state.trial();
    const session::Reading* reading = shownReading();
    const session::RereadPlace* place = m_state.place();
    m_panel->setTitle(place ? tr("Trial %1 of %2")
                                  .arg(place - document.settings.reread->places.data() + 1)
                                  .arg(document.settings.reread->places.size())
                      : trial ? tr("Trial %1").arg(numberInCapture(document, *trial))
                              : tr("Next trial"));
    m_configuration->setVisible(!m_state.blind());
    if (m_state.blind())
        m_panel->setTrailing(tr("blind reading"));
    else if (!trial)
        m_panel->setTrailing(m_atProposed ? tr("a press is proposed here") : QString());
    else if (trial->reject)
        m_panel->setTrailing(tr("rejected: %1").arg(QString::fromUtf8(session::label(trial->reject->reason))));
    else if (reading && trial->readings.size() > 1)
        m_panel->setTrailing(
            tr("reading %1 of %2").arg(reading - trial->readings.data() + 1).arg(trial->readings.size()));
    else
        m_panel->setTrailing(tr("first reading"));

    if (m_noteOf && (!trial || trial->id != m_noteOf))
        m_note->commit(); // what was typed belongs to the trial that was current
    m_noteOf = trial ? trial->id : session::TrialId{};
    const bool noted = trial && !m_state.blind();
    m_note->setReadOnly(false);
    m_note->setPlaceholderText(noteWords());
    m_note->setEnabled(noted && !m_model.readOnly());
    m_note->setValue(noted ? QString::fromStdString(trial->note) : QString());

    m_delay->setText(delayText());
    const QStringList wrong = warnings();
    m_checks->setText(trial ? wrong.isEmpty() ? tr("no warnings") : wrong.join(QLatin1Char('\n'))
                            : QStringLiteral("–"));
    m_checks->setTone(wrong.isEmpty() ? Tone::Secondary : Tone::Attention);
    m_checksLine->setVisible(!m_low || !wrong.isEmpty());
    m_checksSign->setShape(wrong.isEmpty() ? Shape::Check : Shape::Warning);

    const bool complete = reading && session::isComplete(*reading);
    const bool writable = trial && !m_model.readOnly();
    m_accept->setText(m_atProposed ? tr("Take it") : tr("Accept"));
    m_accept->setEnabled((writable && (complete || trial->reject)) || (m_atProposed && !m_model.readOnly()));
    m_doubt->setEnabled(writable);
    m_doubt->setText(reading && reading->doubtful ? tr("Not in doubt") : tr("Doubt"));
    m_reject->setEnabled(writable);
    m_noReaction->setEnabled(writable && reading && reading->press);
    m_noReaction->setText(reading && reading->noReaction ? tr("There was a reaction") : tr("No reaction"));
    m_clear->setEnabled(writable && reading && (reading->press || reading->response));
    refreshChoices();
    refreshMarks();
}

void TrialPanel::refreshChoices()
{
    const session::Document& document = *m_model.document();
    const session::Trial* trial = m_state.trial();
    const session::Capture* capture = m_state.capture();
    QVector<std::pair<qint64, QString>> choices{{noConfiguration, tr("no configuration yet")}};
    for (const session::Configuration* configuration : session::inOrder(document.configurations))
        choices << std::pair(
            configuration->id.value,
            QStringLiteral("%1   %2").arg(choices.size()).arg(QString::fromStdString(configuration->name)));
    m_configuration->setChoices(choices, m_state.configuration().value);
    m_configuration->setEnabled(capture && !m_model.readOnly());

    QVector<std::pair<qint64, QString>> lamps, screens;
    if (capture)
        for (const session::Region& region : capture->regions)
            (region.kind == session::RegionKind::Lamp ? lamps : screens)
                << std::pair(region.id.value, QString::fromStdString(region.name));
    m_regions->setVisible(lamps.size() > 1 || screens.size() > 1);
    const session::Region* lamp = m_state.region(session::RegionKind::Lamp);
    const session::Region* screen = m_state.region(session::RegionKind::Screen);
    m_lamps->setChoices(lamps, lamp ? lamp->id.value : 0);
    m_screens->setChoices(screens, screen ? screen->id.value : 0);
    // A trial keeps the regions it was begun in.
    m_lamps->setEnabled(!trial);
    m_screens->setEnabled(!trial);
}

void TrialPanel::refreshMarks()
{
    const session::Reading* reading = shownReading();
    const bool press = reading && reading->press, response = reading && reading->response;
    const bool none = reading && reading->noReaction;
    const bool able = m_state.capture() && m_markable && !m_model.readOnly();
    const timing::FrameNumber from = m_state.firstFrame();
    const QString next = tr("mark %1").arg((m_state.frame() - from).value);

    MarkRow::Shown row;
    row.shape = markShape(session::RegionKind::Lamp, press);
    row.value = press ? QString::number((reading->press->frame - from).value) : tr("not marked");
    row.given = press;
    row.next = able && !press;
    row.trailing = press ? tr("marked") : row.next ? next : QString();
    row.enabled = able;
    m_press->show(row);

    row.shape = markShape(session::RegionKind::Screen, response);
    row.value = response ? QString::number((reading->response->frame - from).value)
                : none   ? tr("no reaction")
                         : tr("not marked");
    row.given = response;
    row.next = able && press && !response && !none;
    row.trailing = response ? tr("marked") : row.next ? next : QString();
    row.enabled = able && press;
    m_response->show(row);
}

QString TrialPanel::delayText() const
{
    const session::Trial* trial = m_state.trial();
    const session::Reading* reading = shownReading();
    if (m_state.blind())
        return tr("hidden while reading blind");
    if (!reading || !session::isComplete(*reading))
        return m_low ? tr("once both are marked") : tr("counts and ms once both are marked");
    if (reading->noReaction)
        return tr("none: no reaction");
    if (!m_state.delaysShown())
        return m_low ? tr("hidden, Ctrl+D shows it") : tr("hidden while reading; Ctrl+D shows it");
    const analysis::TrialOutcome outcome = analysis::trialOutcome(*m_model.document(), *trial);
    if (!outcome.counted)
        return outcome.sentence.empty() ? tr("none") : QString::fromStdString(outcome.sentence);
    QString ms;
    if (outcome.delay) {
        const analysis::DelayFigure figure = analysis::delayFigure(*outcome.delay);
        ms = tr("%1 ms (%2 to %3)")
                 .arg(QString::fromStdString(figure.delay), QString::fromStdString(figure.earliest),
                      QString::fromStdString(figure.latest))
             + added(outcome);
        if (m_low)
            return ms; // the traces show the count
    } else {
        ms =
            tr("no ms: %1")
                .arg(outcome.state == analysis::TrialState::ClockNotSettled ? tr("the clock isn't settled")
                                                                            : QString::fromStdString(outcome.sentence));
    }
    QString text = tr("%n camera frame(s)", nullptr, int(outcome.counted->value));
    if (outcome.missing && outcome.missing->value > 0)
        text += tr(" and %1 missing").arg(outcome.missing->value);
    return tr("%1, %2").arg(text, ms);
}

QStringList TrialPanel::warnings() const
{
    QStringList found;
    const session::Capture* capture = m_state.capture();
    const session::Reading* reading = shownReading();
    if (!capture || !reading || !reading->press || m_state.blind())
        return found;
    const timing::FrameNumber press = reading->press->frame;
    const timing::FrameNumber response = reading->response ? reading->response->frame : press;
    const timing::FrameNumber first = std::min(press, response), last = std::max(press, response);
    if (press.value == 0)
        found << tr("The press is the first frame: nothing shows that it wasn't earlier.");
    if (const session::Trial* trial = m_state.trial()) {
        const session::Document& document = *m_model.document();
        std::vector<analysis::TrialOutcome> ofRun;
        for (const auto& [id, other] : document.trials)
            if (trial->run && other->run == trial->run)
                ofRun.push_back(analysis::trialOutcome(document, *other));
        for (const std::string& slip : analysis::slipsOf(document, *trial, ofRun))
            found << QString::fromStdString(slip);
    }
    found << m_footageSlips;
    if (const auto footage = m_pool.footage(m_model.footagePath(*capture)))
        for (const media::Doubt& doubt : footage->doubts)
            if (doubt.first <= last && doubt.last >= first) {
                found << tr("Frames %1 to %2 are in doubt: %3.")
                             .arg(doubt.first.value)
                             .arg(doubt.last.value)
                             .arg(QString::fromStdString(doubt.why));
                break;
            }
    if (const session::Trial* trial = m_state.trial(); trial && session::isOpen(*trial))
        found << tr("Its readings differ and none is chosen: Ctrl+R goes through them, the one shown counts.");
    return found;
}

} // namespace ui
