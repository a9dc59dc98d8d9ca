#include "ui/clock/ways_panel.h"
#include "ui/clock/events_form.h"
#include "ui/clock/plan_form.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/form_grid.h"

namespace ui {
namespace {

constexpr int labelWidth = 84;
enum Way : qint64 { Planning, KnownTime, CountedRefreshes };

} // namespace

WaysPanel::WaysPanel(SessionModel& model, QWidget* parent)
    : QWidget(parent),
      m_way(new ChoiceBox),
      m_time(new EventsForm(model, EventsForm::Distance::Time)),
      m_refreshes(new EventsForm(model, EventsForm::Distance::Refreshes)),
      m_plan(new PlanForm(model))
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    auto* panel = new Panel(tr("Other references"));
    panel->setTrailing(tr("and what to film for one"));
    column->addWidget(panel);
    auto* form = new FormGrid(labelWidth);
    m_way->setObjectName(QStringLiteral("referenceWay"));
    m_way->setChoices({{Planning, tr("how long to film a blinking lamp")}, {KnownTime, tr("two events a known time apart")}, {CountedRefreshes, tr("counted refreshes of a display")}},
                      Planning);
    form->addRow(tr("By"), m_way);
    panel->body()->addWidget(form);
    panel->body()->addWidget(m_plan);
    panel->body()->addWidget(m_time);
    panel->body()->addWidget(m_refreshes);
    connect(m_way, &ChoiceBox::chosen, this, &WaysPanel::choose);
    connect(m_plan, &PlanForm::problem, this, &WaysPanel::problem);
    connect(m_time, &EventsForm::problem, this, &WaysPanel::problem);
    connect(m_refreshes, &EventsForm::problem, this, &WaysPanel::problem);
    choose(Planning);
}

void WaysPanel::choose(qint64 way)
{
    m_plan->setVisible(way == Planning);
    m_time->setVisible(way == KnownTime);
    m_refreshes->setVisible(way == CountedRefreshes);
}

void WaysPanel::show(session::ClockId clock)
{
    m_plan->show(clock);
    m_time->show(clock);
    m_refreshes->show(clock);
}

void WaysPanel::setFrameInView(std::function<std::optional<FrameInView>()> ask)
{
    m_time->setFrameInView(ask);
    m_refreshes->setFrameInView(std::move(ask));
}

} // namespace ui
