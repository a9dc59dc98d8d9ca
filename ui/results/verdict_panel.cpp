#include "ui/results/verdict_panel.h"
#include "core/analysis/narrowing.h"
#include "core/report/in_short.h"
#include "core/report/sentences.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/fold.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/look/look.h"
#include "ui/results/interval_plot.h"

#include <QHBoxLayout>
#include <QPushButton>

namespace ui {
namespace {

QString joined(const std::vector<std::string>& sentences)
{
    QStringList lines;
    for (const std::string& sentence : sentences)
        lines << QString::fromStdString(sentence);
    return lines.join(QLatin1Char('\n'));
}

} // namespace

VerdictPanel::VerdictPanel(QWidget* parent)
    : Panel({}, parent), m_other(called("comparedWith", new ChoiceBox)),
      m_says(selectable(wrapping({}, Text::Emphasis, Tone::Primary, QFont::DemiBold))), m_more(selectable(wrapping())),
      m_rests(selectable(wrapping({}, Text::State, Tone::Secondary))),
      m_warnings(selectable(wrapping({}, Text::State, Tone::Secondary))),
      m_fold(
          new Fold(tr("What this rests on"), tr("the interval and its level, trials and runs it would take, counts"))),
      m_takeNote(new ShapeLabel(Shape::Warning, tr("Take note"), Text::State, Tone::Attention)),
      m_plot(new IntervalPlot), m_plan(new QPushButton(tr("Plan more trials"))), m_trials(new QPushButton)
{
    makeCompact(*m_other);
    m_other->setAccessibleName(tr("Compared with"));
    m_other->setMinimumContentsLength(16);
    addToHeader(m_other);
    connect(m_other, &ChoiceBox::chosen, this, [this](qint64 id) { emit otherChosen(session::ConfigurationId{id}); });
    auto* content = new QWidget;
    auto* inside = new QVBoxLayout(content);
    inside->setContentsMargins(grid::padding, 0, grid::padding, 8);
    inside->setSpacing(8);
    addWidgets(*inside, {m_says, m_plot, m_more});
    auto* buttons = new QHBoxLayout;
    buttons->addWidget(m_plan);
    buttons->addWidget(m_trials);
    buttons->addStretch(1);
    for (QPushButton* button : {m_plan, m_trials})
        makeCompact(*button);
    inside->addLayout(buttons);
    addWidgets(*inside, {m_takeNote, m_warnings});
    m_rests->setContentsMargins(grid::padding, 0, grid::padding, 0);
    m_fold->body()->addWidget(m_rests);
    auto* all = columnIn(nullptr);
    auto* whole = new QWidget;
    whole->setLayout(all);
    all->addWidget(content);
    all->addWidget(m_fold);
    all->addStretch(1);

    body()->setContentsMargins(0, 0, 0, 0);
    body()->addWidget(scrolled(whole));
    setHairline(false);
    connect(m_plan, &QPushButton::clicked, this, &VerdictPanel::planAsked);
    connect(m_trials, &QPushButton::clicked, this, &VerdictPanel::trialsAsked);
}

void VerdictPanel::chooseOther()
{
    if (!m_other->isVisible())
        return;
    m_other->setFocus(Qt::OtherFocusReason);
    m_other->showPopup();
}

/// The baseline first, as part of all comparisons; then every other one, by itself.
void VerdictPanel::fillChoices(const ResultsView& view)
{
    QVector<std::pair<qint64, QString>> choices;
    const analysis::ConfigurationResult* baseline = analysis::find(*view.results, view.results->baseline);
    if (baseline && view.selected != view.results->baseline)
        choices.append({0, tr("baseline: %1").arg(QString::fromStdString(baseline->name))});
    else
        choices.append({0, tr("nothing")});
    for (const analysis::ConfigurationResult& other : view.results->configurations)
        if (other.configuration != view.selected
            && (other.configuration != view.results->baseline || view.selected == view.results->baseline))
            choices.append({other.configuration.value, QString::fromStdString(other.name)});
    m_other->setVisible(choices.size() > 1);
    m_other->setChoices(choices, view.against.value);
}

void VerdictPanel::show(const ResultsView& view)
{
    const analysis::ConfigurationResult* result = view.compared();
    if (!result)
        return;
    fillChoices(view);
    const analysis::Results& results = view.comparing();
    const bool comparable = analysis::find(results, results.baseline) && !result->baseline;
    const QString name = QString::fromStdString(result->name);
    setTitle(comparable ? tr("%1 against").arg(name) : name);
    const bool interval = result->comparison && result->comparison->interval;
    m_plot->setVisible(interval);
    if (interval) {
        const stats::Expanded& difference = *result->comparison->interval;
        IntervalPlot::Shown shown{difference.low(), difference.high(), difference.estimateMs, results.marginMs, {}, {}};
        const stats::Verdict verdict = result->comparison->verdict;
        if (verdict == stats::Verdict::SameWithinMargin
            || (verdict == stats::Verdict::NotResolved && results.marginMs)) {
            shown.sameLow = result->comparison->equivalence->low();
            shown.sameHigh = result->comparison->equivalence->high();
        }
        m_plot->show(shown);
    }
    const report::InShort words = report::inShort(results, *result);
    m_says->setText(QString::fromStdString(words.says));
    std::vector<std::string> more;
    for (const std::string& sentence :
         {analysis::narrowingReason(results, *result), words.missing,
          results.pair && interval ? report::pairWords(*result->comparison) : std::string()})
        if (!sentence.empty())
            more.push_back(sentence);
    m_more->setText(joined(more));
    m_more->setVisible(!more.empty());
    std::vector<std::string> rests = report::verdictExplanation(results, *result);
    for (const std::string& sentence : report::countsExplanation(*result))
        rests.push_back(sentence);
    m_rests->setText(joined(rests));
    m_warnings->setText(joined(results.warnings));
    m_takeNote->setVisible(!results.warnings.empty());
    m_warnings->setVisible(!results.warnings.empty());
    m_plan->setVisible(result->comparison && result->comparison->verdict == stats::Verdict::NotResolved);
    m_trials->setText(tr("Look at the %1").arg(counted(result->trials, tr("trial"))));
    m_trials->setVisible(result->trials > 0);
}

} // namespace ui
