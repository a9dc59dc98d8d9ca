#include "ui/plan/plan_panel.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/fold.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"

#include <QDateTime>
#include <QLocale>
#include <cmath>

namespace ui {
namespace {

constexpr int planPanelLabelWidth = 116;

QString optionalCount(const std::optional<int>& value) { return value ? QString::number(*value) : QString(); }

/// "set 9 June 2024, 14:02"
QString decidedAt(const std::string& time)
{
    const QDateTime when = QDateTime::fromString(QString::fromStdString(time), Qt::ISODate);
    return when.isValid() ? PlanPanel::tr("set %1").arg(
               QLocale(QLocale::English).toString(when, QStringLiteral("d MMMM yyyy, HH:mm")))
                          : QString();
}

Label* smallNote()
{
    auto* note = wrapping({}, Text::Caption, Tone::Tertiary);
    note->setContentsMargins(planPanelLabelWidth + 8, 0, 0, 2);
    return note;
}

void addInside(Fold& fold, QWidget* widget)
{
    fold.body()->setContentsMargins(grid::padding, 0, grid::padding, 8);
    fold.body()->addWidget(widget);
}

} // namespace

PlanPanel::PlanPanel(SessionModel& model, QWidget* parent) : QWidget(parent), m_model(model)
{
    auto* column = columnIn(this, 0);
    buildComparison(*column);
    buildCounts(*column);
    buildEvent(*column);
    buildQuestion(*column);
    buildCautions(*column);
    column->addStretch(1);
}

void PlanPanel::buildQuestion(QVBoxLayout& column)
{
    m_words = new Fold(tr("Question, title and reader"), tr("stand in the chart and the method note"));
    auto* form = new FormGrid(planPanelLabelWidth);
    m_question = new CommitText(3, tr("What should the numbers decide?"));
    m_question->setAccessibleName(tr("Question"));
    form->addWide(m_question);
    connect(m_question, &CommitText::committed, this, [this](const QString& text) {
        m_model.changeSettings(tr("change the question"),
                               [&](session::Settings& s) { s.plan.question = text.toStdString(); });
    });
    m_title = textField(tr("change the session's title"), tr("Pedal links"), &session::Settings::title);
    form->addRow(tr("Session title"), m_title);
    m_reader = textField(tr("change the reader"), tr("who marks the frames"), &session::Settings::reader);
    form->addRow(tr("Reader"), m_reader);
    addInside(*m_words, form);
    column.addWidget(m_words);
}

void PlanPanel::buildEvent(QVBoxLayout& column)
{
    m_event = new Fold(tr("Press and reaction"), {});
    auto* form = new FormGrid(planPanelLabelWidth);

    m_lamp = form->addRow(tr("Press"), new ChoiceBox);
    connect(m_lamp, &ChoiceBox::chosen, this, [this](qint64 which) {
        m_model.changeSettings(tr("change the press"),
                               [&](session::Settings& s) { s.event.lamp = static_cast<session::LampEvent>(which); });
    });

    m_reaction = form->addRow(tr("Reaction"), new CommitText(2, tr("the panel turns white")));
    connect(m_reaction, &CommitText::committed, this, [this](const QString& text) {
        m_model.changeSettings(tr("change the reaction"),
                               [&](session::Settings& s) { s.event.reaction = text.toStdString(); });
    });

    m_onset = form->addRow(tr("Onset rule"), new ChoiceBox);
    connect(m_onset, &ChoiceBox::chosen, this, [this](qint64 which) {
        m_model.changeSettings(tr("change the onset rule"),
                               [&](session::Settings& s) { s.event.onset = static_cast<session::OnsetRule>(which); });
    });

    m_threshold = numberField(
        tr("The threshold"), 0, 1000,
        [](session::Settings& s, std::optional<double> k) { s.event.thresholdSd = k.value_or(4); },
        tr("change the threshold"));
    form->addRow(tr("Threshold"), m_threshold, tr("SD"));
    m_limit = numberField(
        tr("The limit"), 0, 1e7, [](session::Settings& s, std::optional<double> ms) { s.event.limitMs = ms; },
        tr("change the limit"));
    form->addRow(tr("No reaction after"), m_limit, tr("ms"));
    addInside(*m_event, form);
    column.addWidget(m_event);
}

void PlanPanel::buildComparison(QVBoxLayout& column)
{
    auto* panel = new Panel(tr("What to compare"));
    panel->body()->addWidget(emptyNote(
        tr("Name the set-ups in the list beside; one of them is what the others are compared with."), Text::State));
    auto* form = new FormGrid(planPanelLabelWidth);

    m_baseline = form->addRow(tr("Baseline"), new ChoiceBox);
    connect(m_baseline, &ChoiceBox::chosen, this, [this](qint64 id) {
        m_model.edit(
            [id](const session::Document& d) { return session::setBaseline(d, session::ConfigurationId{id}); });
    });
    m_margin = form->addRow(tr("Smallest difference that matters"), called("planMargin", new CommitEdit(tr("like 4"))),
                            tr("ms"));
    m_margin->setToolTip(tr("The margin: a difference below it wouldn't matter to you. Set before the first look."));
    m_margin->setCheck(CommitEdit::numberFor(
        [](double ms) { return ms > 0; }, tr("The margin “%1” isn't a number of ms above 0: type one like 2 or 0.5.")));
    connect(m_margin, &CommitEdit::committed, this, [this](const QString& text) {
        m_model.edit([ms = typedNumber(text)](const session::Document& d) { return session::setMargin(d, ms); });
    });
    m_marginTime = smallNote();
    form->addWide(m_marginTime);
    panel->body()->addWidget(form);
    column.addWidget(panel);
}

void PlanPanel::buildCounts(QVBoxLayout& column)
{
    m_counts = new Fold(tr("Trials and runs"), {});
    auto* form = new FormGrid(planPanelLabelWidth);
    m_trials =
        countField(tr("The number of trials"), &session::Plan::trialsPerConfiguration, tr("change the planned trials"));
    form->addRow(tr("Trials"), m_trials, tr("of each"));
    m_runs = countField(tr("The number of runs"), &session::Plan::runsPerConfiguration, tr("change the planned runs"));
    form->addRow(tr("Runs"), m_runs, tr("of each"));
    m_baselineTrials = countField(tr("The number of the baseline's trials"), &session::Plan::baselineTrials,
                                  tr("change the baseline's planned trials"));
    m_baselineRuns = countField(tr("The number of the baseline's runs"), &session::Plan::baselineRuns,
                                tr("change the baseline's planned runs"));
    for (CommitEdit* edit : {m_baselineTrials, m_baselineRuns})
        edit->setPlaceholderText(tr("as the others"));
    form->addRow(tr("Baseline trials"), m_baselineTrials);
    form->addRow(tr("Baseline runs"), m_baselineRuns);
    m_planTime = smallNote();
    form->addWide(m_planTime);

    m_level = numberField(
        tr("The level of the intervals"), 50, 99.9,
        [](session::Settings& s, std::optional<double> percent) { s.plan.level = percent.value_or(95) / 100; },
        tr("change the level of the intervals"));
    form->addRow(tr("Confidence"), m_level, tr("%"));
    addInside(*m_counts, form);
    column.addWidget(m_counts);
}

void PlanPanel::buildCautions(QVBoxLayout& column)
{
    m_cautions = new Fold(tr("Before you wire a lamp"), tr("cautions: low voltage only, no lithium cells"));
    m_cautions->setOpen(m_model.document()->captures.empty()); // whoever has filmed has wired it
    auto* words = emptyNote(
        tr("Devices of low voltage only: unplug them and take the battery out before opening. Never solder on, bend or "
           "pierce a lithium "
           "cell, never feed a supply from outside into the device. Compare its delay with a unit you left alone. "
           "Cautions in the Help menu says more; qualified people and local rules decide."));
    words->setFont(ui::font(Text::State));
    addInside(*m_cautions, words);
    column.addWidget(m_cautions);
}

CommitEdit* PlanPanel::textField(const QString& label, const QString& placeholder,
                                 std::string session::Settings::*field)
{
    auto* edit = new CommitEdit(placeholder);
    connect(edit, &CommitEdit::committed, this, [=, this](const QString& text) {
        m_model.changeSettings(label, [&](session::Settings& s) { s.*field = text.toStdString(); });
    });
    return edit;
}

/// Between `above` (excluded) and `below` (included), or left empty.
CommitEdit* PlanPanel::numberField(const QString& what, double above, double below,
                                   std::function<void(session::Settings&, std::optional<double>)> set,
                                   const QString& label)
{
    auto* edit = new CommitEdit;
    edit->setCheck([=](const QString& text) {
        const auto value = typedNumber(text);
        return text.isEmpty() || (value && *value > above && *value <= below)
                   ? QString()
                   : tr("%1 “%2” isn't a number above %3 and up to %4.")
                         .arg(what, text, shortNumber(above), shortNumber(below));
    });
    connect(edit, &CommitEdit::committed, this, [=, this](const QString& text) {
        m_model.changeSettings(label, [&](session::Settings& s) { set(s, typedNumber(text)); });
        refresh(); // an emptied field shows what stands in its place
    });
    return edit;
}

CommitEdit* PlanPanel::countField(const QString& what, std::optional<int> session::Plan::*field, const QString& label)
{
    constexpr double most = 1e6; // session::limits::planned
    auto* edit = new CommitEdit(tr("not planned"));
    edit->setCheck([=](const QString& text) {
        const auto value = typedNumber(text);
        return text.isEmpty() || (value && *value >= 1 && *value <= most && *value == std::floor(*value))
                   ? QString()
                   : tr("%1 “%2” isn't a whole number of at least 1.").arg(what, text);
    });
    connect(edit, &CommitEdit::committed, this, [=, this](const QString& text) {
        const auto value = typedNumber(text);
        m_model.changeSettings(label, [&](session::Settings& s) {
            s.plan.*field = value ? std::optional(static_cast<int>(*value)) : std::nullopt;
        });
    });
    return edit;
}

void PlanPanel::refresh()
{
    const auto document = m_model.document();
    const session::Settings& s = document->settings;
    m_question->setValue(QString::fromStdString(s.plan.question));
    m_title->setValue(QString::fromStdString(s.title));
    m_reader->setValue(QString::fromStdString(s.reader));
    m_lamp->setChoices({{int(session::LampEvent::Lights), tr("the lamp lights")},
                        {int(session::LampEvent::GoesOut), tr("the lamp goes out")}},
                       int(s.event.lamp));
    m_reaction->setValue(QString::fromStdString(s.event.reaction));
    m_onset->setChoices({{int(session::OnsetRule::FirstVisibleChange), tr("first visible change")},
                         {int(session::OnsetRule::Threshold), tr("stated threshold")}},
                        int(s.event.onset));
    m_threshold->setValue(shortNumber(s.event.thresholdSd));
    m_threshold->setEnabled(s.event.onset == session::OnsetRule::Threshold);
    m_limit->setValue(shortNumber(s.event.limitMs));

    QVector<std::pair<qint64, QString>> configurations{{0, tr("not chosen")}};
    for (const session::Configuration* c : session::inOrder(document->configurations))
        configurations.append({c->id.value, QString::fromStdString(c->name)});
    m_baseline->setChoices(configurations, s.plan.baseline.value);
    m_margin->setValue(shortNumber(s.plan.marginMs));
    m_trials->setValue(optionalCount(s.plan.trialsPerConfiguration));
    m_runs->setValue(optionalCount(s.plan.runsPerConfiguration));
    m_baselineTrials->setValue(optionalCount(s.plan.baselineTrials));
    m_baselineRuns->setValue(optionalCount(s.plan.baselineRuns));
    // 0.95 * 100 isn't 95 in binary.
    m_level->setValue(shortNumber(std::round(s.plan.level * 1e5) / 1e3));
    m_marginTime->setText(decidedAt(s.plan.marginTime));
    m_marginTime->setVisible(!m_marginTime->text().isEmpty());
    m_planTime->setText(decidedAt(s.plan.planTime));
    m_planTime->setVisible(!m_planTime->text().isEmpty());
    sayPurposes(s);
}

/// What is set, where it is folded away.
void PlanPanel::sayPurposes(const session::Settings& s)
{
    const auto& plan = s.plan;
    m_counts->setPurpose(plan.trialsPerConfiguration && plan.runsPerConfiguration
                             ? tr("%1 in %2 of each")
                                   .arg(counted(*plan.trialsPerConfiguration, tr("trial")),
                                        counted(*plan.runsPerConfiguration, tr("run")))
                             : tr("not planned yet: \u201cHow many\u201d works them out"));
    QStringList event{s.event.lamp == session::LampEvent::Lights ? tr("lamp lights") : tr("lamp goes out")};
    event << (s.event.reaction.empty() ? tr("the reaction isn't described yet")
                                       : QString::fromStdString(s.event.reaction));
    m_event->setPurpose(event.join(QStringLiteral(", ")));
    m_words->setPurpose(s.plan.question.empty() ? tr("stand in the chart and the method note")
                                                : QString::fromStdString(s.plan.question));
}

} // namespace ui
