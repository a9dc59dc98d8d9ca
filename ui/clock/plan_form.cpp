#include "ui/clock/plan_form.h"
#include "core/timing/phase_dither.h"
#include "ui/clock/clock_words.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"

#include <QPushButton>
#include <cmath>

namespace ui {
namespace {

constexpr int planFormLabelWidth = 84, planFormBackgroundNiceness = 5;
constexpr double planFormUsualTolerance = 50, usualWanted = 100; ///< ppm

QString ppm(double relative) { return QString::number(relative * 1e6, 'g', 2); }

struct Question {
    double rate = 0, frequency = 0, tolerance = 0, wanted = 0; ///< the last two relative
};

/// One paragraph: how long, or why not, and a better frequency where there is one.
QString answer(const Question& asked)
{
    const timing::ReferencePlan plan =
        timing::planReference(asked.rate, asked.frequency, asked.tolerance, asked.wanted);
    QString text;
    if (plan.flashes == 0 && asked.tolerance / std::sqrt(3.0) >= asked.wanted)
        text = PlanForm::tr(
                   "This lamp can't give it: its own tolerance alone leaves %1 ppm. Use a lamp timed by a crystal.")
                   .arg(ppm(asked.tolerance / std::sqrt(3.0)));
    else if (plan.flashes == 0)
        text = PlanForm::tr("Not within 100,000 flashes at this frequency.");
    else
        text = PlanForm::tr("Film at least %1, %2 s: the rate is then known to %3 ppm, the lamp's tolerance included.")
                   .arg(counted(plan.flashes, PlanForm::tr("flash"))
                            .replace(QStringLiteral("flashs"), PlanForm::tr("flashes")),
                        QString::number(plan.seconds, 'g', 3), ppm(plan.uncertainty));
    const std::int64_t flashes = plan.flashes > 0 ? plan.flashes : 1000;
    if (!timing::lacksDither(asked.rate / asked.frequency, flashes))
        return text;
    text += PlanForm::tr(" %1 Hz is near a simple fraction of the capture rate, so that the edges keep falling on the "
                         "same places between frames and lost frames may not show.")
                .arg(shortNumber(asked.frequency));
    if (const auto better = timing::betterFrequency(asked.rate, asked.frequency, flashes)) {
        const timing::ReferencePlan other = timing::planReference(asked.rate, *better, asked.tolerance, asked.wanted);
        text += other.flashes > 0 ? PlanForm::tr(" %1 Hz is better: %2 s are enough.")
                                        .arg(shortNumber(*better), QString::number(other.seconds, 'g', 3))
                                  : PlanForm::tr(" %1 Hz is better.").arg(shortNumber(*better));
    }
    return text;
}

} // namespace

PlanForm::PlanForm(SessionModel& model, QWidget* parent)
    : QWidget(parent), m_model(model), m_rate(called("planRate", new CommitEdit(tr("like 240")))),
      m_frequency(called("planFrequency", new CommitEdit(tr("like 9.7")))),
      m_tolerance(called("planTolerance", new CommitEdit(shortNumber(planFormUsualTolerance)))),
      m_wanted(called("planWanted", new CommitEdit(shortNumber(usualWanted)))),
      m_result(called("planResult", wrapping(tr("Standard uncertainty of the rate in parts per million: 100 ppm are "
                                                "0.005 ms in a delay of 50 ms.")))),
      m_worker(planFormBackgroundNiceness)
{
    auto* column = columnIn(this, 6);
    auto* form = new FormGrid(planFormLabelWidth);
    form->addRow(tr("Captured at"), m_rate, tr("a second"));
    form->addRow(tr("Blinks at"), m_frequency, tr("Hz"));
    form->addRow(tr("Within \u00b1"), m_tolerance, tr("ppm"));
    form->addRow(tr("Wanted u"), m_wanted, tr("ppm"));
    column->addWidget(form);
    for (CommitEdit* edit : {m_rate, m_frequency, m_tolerance, m_wanted}) {
        edit->setCheck(CommitEdit::rate(tr("\u201c%1\u201d isn't a number above 0.")));
        connect(edit, &CommitEdit::entered, this, &PlanForm::plan);
    }
    column->addWidget(m_result);
    auto* button = called("planReference", new QPushButton(tr("How long to film")));
    connect(button, &QPushButton::clicked, this, &PlanForm::plan);
    column->addWidget(button, 0, Qt::AlignRight);
}

void PlanForm::show(session::ClockId clock)
{
    if (clock == m_clock)
        return;
    m_clock = clock;
    const session::Clock* shown = session::find(*m_model.document(), clock);
    const session::ClockEvidence* best = shown ? session::proposedEvidence(*shown) : nullptr;
    m_rate->setText({});
    m_rate->setValue(best ? rateOf(*best) : QString());
}

void PlanForm::plan()
{
    for (CommitEdit* edit : {m_rate, m_frequency, m_tolerance, m_wanted})
        if (!edit->commit())
            return;
    const auto rate = typedRate(m_rate->value()), frequency = typedRate(m_frequency->value());
    if (!rate || !frequency) {
        emit m_model.problem(
            tr("Planning needs the capture rate and how often a second the lamp lights, like 240 and 9.7."));
        (rate ? m_frequency : m_rate)->setFocus(Qt::OtherFocusReason);
        return;
    }
    if (*frequency * 2 >= *rate || *rate / *frequency > 1e6) {
        emit m_model.problem(
            tr("The lamp has to blink at less than half and more than a millionth of the capture rate."));
        return;
    }
    const Question asked{*rate, *frequency, typedNumber(m_tolerance->value()).value_or(planFormUsualTolerance) * 1e-6,
                         typedNumber(m_wanted->value()).value_or(usualWanted) * 1e-6};
    m_result->setText(tr("Working it out \u2026"));
    m_worker.stop(); // only the latest question is answered
    const auto say = [this](const QString& text) { m_result->setText(text); };
    m_worker.run([asked](const std::stop_token&) { return answer(asked); }, say, say);
}

} // namespace ui
