#include "ui/plan/effort_panel.h"
#include "core/stats/rounding.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/look/key_cap.h"

#include <QGridLayout>
#include <cmath>

namespace ui {
namespace {

constexpr int effortPanelLabelWidth = 150;
constexpr double noticeable = 0.1; // of what shared uncertainty may be at most
enum From { Model, Typed, Trials };

QString short3(double value) { return shortNumber(std::stod(QString::number(value, 'g', 3).toStdString())); }

QString twoDigits(double value) { return QString::fromStdString(stats::formatFixed(value, stats::decimalsFor(value))); }

} // namespace

bool EffortPanel::Input::allows(double value) const
{
    return (leastIn ? value >= least : value > least) && value <= most && (!whole || value == std::floor(value));
}

EffortPanel::EffortPanel(SessionModel& model, SessionResults& results, QWidget* parent)
    : QWidget(parent), m_model(model), m_results(results)
{
    auto* row = rowIn(this, 1);
    auto* inputs = new QWidget;
    auto* left = new QVBoxLayout(inputs);
    auto* answers = new QWidget;
    auto* right = new QVBoxLayout(answers);
    for (QVBoxLayout* column : {left, right}) {
        column->setContentsMargins(0, 0, 0, 0);
        column->setSpacing(0);
    }
    buildInputs(*left);
    buildAnswer(*right);
    left->addStretch(1);
    right->addStretch(1);
    setFocusProxy(m_power);
    row->addWidget(scrolled(inputs), 4);
    row->addWidget(scrolled(answers), 5);
}

CommitEdit* EffortPanel::field(FormGrid& form, const char* name, const QString& label, const QString& unit,
                               const QString& what, const Input& given)
{
    auto* edit = called(name, new CommitEdit);
    Input input = given;
    input.edit = edit;
    m_inputs << input;
    edit->setCheck([input, what](const QString& text) {
        const auto value = typedNumber(text);
        if (text.isEmpty() || (value && input.allows(*value)))
            return QString();
        return input.whole ? tr("%1 “%2” isn't a whole number from %3 to %4.")
                                 .arg(what, text, shortNumber(input.least), shortNumber(input.most))
                           : tr("%1 “%2” isn't a number %3 %4 and up to %5.")
                                 .arg(what, text, input.leastIn ? tr("from") : tr("above"), shortNumber(input.least),
                                      shortNumber(input.most));
    });
    connect(edit, &CommitEdit::refused, this, &EffortPanel::answer);
    connect(edit, &QLineEdit::textEdited, this, &EffortPanel::answer);
    connect(edit, &CommitEdit::committed, this, [this, set = input.set](const QString& text) {
        store([&](session::PlanBasis& basis) { set(basis, typedNumber(text)); });
    });
    return form.addRow(label, edit, unit);
}

void EffortPanel::buildInputs(QVBoxLayout& column)
{
    using Basis = session::PlanBasis;
    using Value = std::optional<double>;
    const auto above0 = [](Value Basis::*of) {
        return Input{0, 1e6, [of](const Basis& b) { return b.*of; }, [of](Basis& b, Value value) { b.*of = value; },
                     false};
    };
    const auto from0 = [&](Value Basis::*of) {
        Input input = above0(of);
        input.leastIn = true;
        return input;
    };
    const auto count = [](std::optional<int> Basis::*of, double most) {
        return Input{1,
                     most,
                     [of](const Basis& b) { return b.*of ? Value(*(b.*of)) : std::nullopt; },
                     [of](Basis& b, Value n) { b.*of = n ? std::optional(static_cast<int>(*n)) : std::nullopt; },
                     true,
                     true};
    };

    auto* goal = new Panel(tr("What it shall show"));
    auto* form = new FormGrid(effortPanelLabelWidth);
    m_power = field(*form, "planPower", tr("Found with a chance of"), tr("%"), tr("The power"),
                    {50, 99.9, [](const Basis& b) { return Value(std::round(b.power * 1e5) / 1e3); },
                     [](Basis& b, Value percent) { b.power = percent.value_or(80) / 100; }});
    m_comparisons = field(*form, "planComparisons", tr("Comparisons"), tr("with the baseline"),
                          tr("The number of comparisons"), count(&Basis::comparisons, 1000));
    goal->body()->addWidget(form);
    column.addWidget(goal);

    auto* scatter = new Panel(tr("What trials scatter by"));
    form = new FormGrid(effortPanelLabelWidth);
    m_from = form->addRow(tr("Taken from"), called("planFrom", new ChoiceBox));
    connect(m_from, &ChoiceBox::chosen, this, [this](qint64 from) {
        store([from](Basis& basis) { basis.from = static_cast<session::SpreadFrom>(from); });
    });
    m_refreshHz = field(*form, "planRefresh", tr("Display refresh"), tr("Hz"), tr("The display refresh"),
                        above0(&Basis::refreshHz));
    m_extra = field(*form, "", tr("Scatter besides, SD"), tr("ms"), tr("The extra scatter"), from0(&Basis::extraSdMs));
    m_withinSd = field(*form, "planWithin", tr("Within a run, SD"), tr("ms"), tr("The SD within runs"),
                       above0(&Basis::withinSdMs));
    m_betweenSd = field(*form, "planBetween", tr("From run to run, SD"), tr("ms"), tr("The SD between runs"),
                        from0(&Basis::betweenSdMs));
    m_rate = field(*form, "planRate", tr("Camera captures"), tr("a second"), tr("The capture rate"),
                   above0(&Basis::captureRate));
    m_shared = field(*form, "planShared", tr("Shared by all trials, u"), tr("ms"), tr("The shared uncertainty"),
                     from0(&Basis::sharedMs));
    m_shared->setToolTip(
        tr("Standard uncertainty of a difference by what repeating doesn't lessen: capture rate, rows."));
    scatter->body()->addWidget(form);
    column.addWidget(scatter);

    auto* effort = new Panel(tr("What it may take"));
    effort->setHairline(false);
    form = new FormGrid(effortPanelLabelWidth);
    m_trialsPerRun = field(*form, "planTrialsPerRun", tr("Trials in a run"), {}, tr("The number of trials in a run"),
                           count(&Basis::trialsPerRun, 10000));
    m_trialsPerRun->setPlaceholderText(tr("what takes least time"));
    m_runCost =
        field(*form, "planRunCost", tr("Setting up anew takes"), tr("trials' time"), tr("The time of setting up"),
              {0, 10000, [](const Basis& b) { return Value(b.runCost); },
               [](Basis& b, Value cost) { b.runCost = cost.value_or(Basis{}.runCost); }});
    effort->body()->addWidget(form);
    column.addWidget(effort);
}

void EffortPanel::buildAnswer(QVBoxLayout& column)
{
    auto* panel = new Panel(tr("Runs and trials"));
    m_numbers = wrapping({}, Text::Heading, Tone::Primary, QFont::DemiBold);
    m_numbers->setObjectName(QStringLiteral("effortNumbers"));
    m_words = wrapping();
    m_words->setObjectName(QStringLiteral("effortWords"));
    m_wrong = new ShapeLabel(Shape::Warning, {}, Text::Body, Tone::Attention);
    m_wrong->word().setWordWrap(true);
    m_wrong->setObjectName(QStringLiteral("effortWrong"));
    m_basis = wrapping({}, Text::State, Tone::Secondary);
    m_take = called("takeOver",
                    new KeyButton(tr("Take over into the plan"), {QStringLiteral("F8")}, KeyButton::Kind::Primary));
    connect(m_take, &QPushButton::clicked, this, &EffortPanel::takeOver);
    m_taken = wrapping({}, Text::State, Tone::Secondary);
    QVBoxLayout& body = *panel->body();
    body.setSpacing(8);
    addWidgets(body, {m_numbers, m_words, m_wrong, m_basis});
    body.addWidget(m_take, 0, Qt::AlignLeft);
    body.addWidget(m_taken);
    column.addWidget(panel);

    auto* bought = new Panel(tr("What would it buy?"));
    bought->setHairline(false);
    m_table = bought;
    auto* table = new QWidget;
    m_options = new QGridLayout(table);
    m_options->setContentsMargins(0, 0, 0, 0);
    m_options->setHorizontalSpacing(16);
    m_options->setVerticalSpacing(4);
    m_options->setColumnStretch(0, 1);
    bought->body()->addWidget(table);
    bought->body()->addWidget(
        wrapping(tr("Runs, trials and time: what the smallest difference that matters takes that way, time against the "
                    "plan's. Finds: the smallest difference found with as many trials as planned, filmed that way."),
                 Text::Caption, Tone::Tertiary));
    column.addWidget(bought);
}

void EffortPanel::store(const std::function<void(session::PlanBasis&)>& change)
{
    m_model.changeSettings(QStringLiteral("change what the plan is worked out from"), [&](session::Settings& settings) {
        session::PlanBasis basis = settings.plan.basis.value_or(session::PlanBasis{});
        change(basis);
        settings.plan.basis = basis;
    });
}

session::PlanBasis EffortPanel::basis() const
{
    session::PlanBasis basis = m_model.document()->settings.plan.basis.value_or(session::PlanBasis{});
    for (const Input& input : m_inputs) {
        const QString text = input.edit->text().trimmed();
        const auto value = typedNumber(text);
        if (text.isEmpty() || (value && input.allows(*value)))
            input.set(basis, value);
    }
    return basis;
}

void EffortPanel::refresh()
{
    const auto document = m_model.document();
    m_pilot = analysis::pilotFigures(*m_results.known().document, *m_results.known().results);
    const session::PlanBasis stored = document->settings.plan.basis.value_or(session::PlanBasis{});
    for (const Input& input : std::as_const(m_inputs)) {
        const auto value = input.get(stored);
        input.edit->setValue(shortNumber(value));
    }
    m_from->setChoices({{Model, tr("a model: refresh and camera")},
                        {Typed, tr("SDs typed in")},
                        {Trials, m_pilot.trials > 0 ? tr("this session's %1").arg(counted(m_pilot.trials, tr("trial")))
                                                    : tr("this session's trials: none yet")}},
                       static_cast<qint64>(stored.from));
    const auto placeholder = [](CommitEdit* edit, const std::optional<double>& value, const QString& none) {
        edit->setPlaceholderText(value ? tr("%1, from the session").arg(short3(*value)) : none);
    };
    const QString notKnown = tr("not known");
    placeholder(m_refreshHz, m_pilot.refreshHz, notKnown);
    placeholder(m_rate, m_pilot.cameraIntervalMs ? std::optional(1000 / *m_pilot.cameraIntervalMs) : std::nullopt,
                notKnown);
    const auto& margin = document->settings.plan.marginMs;
    placeholder(m_shared,
                m_pilot.sharedMs                 ? m_pilot.sharedMs
                : m_pilot.rateRelative && margin ? std::optional(*m_pilot.rateRelative * *margin)
                                                 : std::nullopt,
                tr("none taken into account"));
    m_comparisons->setPlaceholderText(tr("%1, all").arg(analysis::comparisonsPlanned(*document, {})));
    m_extra->setPlaceholderText(tr("none"));
    m_betweenSd->setPlaceholderText(stored.from == session::SpreadFrom::Model ? tr("1, assumed") : tr("none"));
    m_withinSd->setPlaceholderText(notKnown);
    answer();
}

void EffortPanel::answer()
{
    const auto document = m_model.document();
    const session::PlanBasis now = basis();
    const bool model = now.from == session::SpreadFrom::Model, trials = now.from == session::SpreadFrom::Trials;
    m_refreshHz->setEnabled(model);
    m_extra->setEnabled(model);
    m_withinSd->setEnabled(now.from == session::SpreadFrom::Typed);
    m_betweenSd->setEnabled(!trials || !m_pilot.spread || !m_pilot.spread->betweenSdMs);
    m_rate->setEnabled(!trials);
    m_runCost->setEnabled(!now.trialsPerRun);

    m_answer = analysis::planEffort(*document, now, m_pilot);
    const auto& effort = m_answer.effort;
    const QString wrong = QString::fromStdString(m_answer.missing.empty() ? m_answer.impossible : m_answer.missing);
    m_wrong->setVisible(!wrong.isEmpty());
    m_wrong->setWord(wrong);
    m_numbers->setVisible(effort.has_value());
    m_words->setVisible(effort.has_value());
    m_table->setVisible(effort.has_value());
    m_take->setEnabled(effort && !m_model.readOnly());
    m_basis->setText(QString::fromStdString(m_answer.basis));
    m_basis->setVisible(!m_answer.basis.empty());
    m_taken->hide();
    if (!effort)
        return;
    const int each = effort->runs * effort->trialsPerRun, baseline = effort->baselineRuns * effort->trialsPerRun;
    const bool own = effort->baselineRuns != effort->runs;
    m_numbers->setText(own ? tr("%1 runs of %2 trials each, %3 of the baseline")
                                 .arg(effort->runs)
                                 .arg(effort->trialsPerRun)
                                 .arg(effort->baselineRuns)
                           : tr("%1 runs of %2 trials each").arg(effort->runs).arg(effort->trialsPerRun));
    QString words = tr("%1 of each configuration").arg(counted(each, tr("trial")));
    if (own)
        words += tr(", %1 of the baseline, which serves %2")
                     .arg(baseline)
                     .arg(counted(m_answer.goal.comparisons, tr("comparison")));
    words += tr("; %1 in all. A true difference of %2 ms is then found with a chance of %3 %, at %4 % for %5 together.")
                 .arg(counted(qint64(each) * m_answer.goal.comparisons + baseline, tr("trial")),
                      shortNumber(m_answer.goal.marginMs))
                 .arg(std::floor(effort->power * 100))
                 .arg(shortNumber(std::round(document->settings.plan.level * 1e5) / 1e3),
                      counted(m_answer.goal.comparisons, tr("comparison")));
    if (m_answer.sharedMs > noticeable * m_answer.mostSharedMs)
        words += tr(" Of the uncertainty %1 ms is shared by all trials and stays; %2 ms would be too much.")
                     .arg(twoDigits(m_answer.sharedMs), twoDigits(m_answer.mostSharedMs));
    words += now.trialsPerRun
                 ? QLatin1Char(' ') + tr("Runs are of the length you set.")
                 : QLatin1Char(' ')
                       + tr("Of all lengths of a run this takes least time, where setting up anew takes as long as %1.")
                             .arg(counted(qint64(std::lround(now.runCost)), tr("trial")));
    words += m_answer.goal.comparisons > 1 // two show no block apart from their own scatter
                 ? tr(" The run sheet takes the set-ups in turn, so that drift falls on all alike and is taken out.")
                 : tr(" The run sheet takes both set-ups in turn, so that drift falls on them alike.");
    m_words->setText(words);
    const session::Plan& plan = document->settings.plan;
    if (plan.runsPerConfiguration == effort->runs && plan.trialsPerConfiguration == each
        && session::plannedRuns(plan, plan.baseline) == (plan.baseline ? effort->baselineRuns : effort->runs)) {
        m_taken->setText(tr("These numbers are the plan."));
        m_taken->show();
    }
    showOptions();
}

void EffortPanel::showOptions()
{
    emptyOut(*m_options);
    const auto put = [this](int row, int column, const QString& text, Tone tone, QFont::Weight weight = QFont::Normal) {
        auto* label = new Label(text, row == 0 ? Text::State : Text::Body, tone, weight);
        label->setWordWrap(row == 0 || column == 0);
        m_options->addWidget(label, row, column,
                             Qt::Alignment(column == 0 ? Qt::Alignment() : Qt::AlignRight)
                                 | (row == 0 ? Qt::AlignBottom : Qt::AlignVCenter));
    };
    const QString heads[] = {{}, tr("runs"), tr("baseline"), tr("trials\nin a run"), tr("time"), tr("finds,\nms")};
    for (int column = 1; column < 6; ++column)
        put(0, column, heads[column], Tone::Secondary);
    int row = 1;
    for (const analysis::EffortOption& option : m_answer.options) {
        const auto weight = row == 1 ? QFont::DemiBold : QFont::Normal;
        const auto& effort = option.forMargin;
        const QString none = QStringLiteral("–");
        const QString cells[] = {QString::fromStdString(option.name),
                                 effort ? QString::number(effort->runs) : none,
                                 effort ? QString::number(effort->baselineRuns) : none,
                                 effort ? QString::number(effort->trialsPerRun) : none,
                                 effort ? tr("%1 %").arg(std::lround(100 * option.time)) : none,
                                 option.findsMs ? twoDigits(*option.findsMs) : none};
        for (int column = 0; column < 6; ++column)
            put(row, column, cells[column], Tone::Primary, weight);
        ++row;
    }
}

void EffortPanel::takeOver()
{
    for (const Input& input : std::as_const(m_inputs))
        if (!input.edit->commit())
            return;
    answer();
    if (m_answer.effort)
        m_model.edit([this](const session::Document& document) {
            return analysis::takeOverPlan(document, document.settings.plan.basis.value_or(session::PlanBasis{}),
                                          *m_answer.effort);
        });
    else
        emit m_model.problem(QString::fromStdString(m_answer.missing.empty() ? m_answer.impossible : m_answer.missing));
}

} // namespace ui
