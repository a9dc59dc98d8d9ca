#include "ui/results/order_panel.h"
#include "core/report/sentences.h"
#include "ui/controls/layouts.h"
#include "ui/results/value_axis.h"

#include <QPainter>
#include <algorithm>

namespace ui {
namespace {

constexpr int axisWidth = 36, labelHeight = 20;
constexpr double leastWords = 24; ///< px; less says nothing

bool hasDelay(const analysis::TrialOutcome& trial)
{
    return trial.delay
           && (trial.state == analysis::TrialState::Counts || trial.state == analysis::TrialState::Rejected);
}

/// "trial 3 of run01: Rejected, hitch.", one line each.
QString leftOut(const ResultsView& view)
{
    QStringList lines;
    for (const analysis::TrialOutcome& outcome : view.results->trials)
        if (outcome.configuration == view.selected && outcome.state != analysis::TrialState::Counts)
            lines << OrderPanel::tr("%1: %2").arg(
                QString::fromStdString(session::trialName(*view.document, outcome.trial)),
                QString::fromStdString(outcome.sentence));
    return lines.join(QLatin1Char('\n'));
}

} // namespace

OrderPlot::OrderPlot(QWidget* parent) : QWidget(parent)
{
    setFixedHeight(150);
    setAccessibleName(tr("Delays in the order the trials were taken"));
}

void OrderPlot::show(const ResultsView& view)
{
    m_points.clear();
    m_mean.reset();
    session::RunId run;
    for (const analysis::TrialOutcome& outcome : view.results->trials) {
        if (outcome.configuration != view.selected || !hasDelay(outcome))
            continue;
        Point point{outcome.delay->delay.count(), outcome.state == analysis::TrialState::Rejected, {}};
        if (const session::Run* taken = session::find(*view.document, outcome.run);
            outcome.run != run || m_points.isEmpty()) // trials without one stand by themselves
            point.run = taken ? QString::fromStdString(taken->name) : tr("no run");
        run = outcome.run;
        m_points << point;
    }
    if (const analysis::ConfigurationResult* result = view.shown(); result && result->mean.shown())
        m_mean = result->mean.shown()->estimateMs;
    update();
}

void OrderPlot::paintEvent(QPaintEvent*)
{
    if (m_points.isEmpty())
        return;
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const Tokens& t = tokens();
    const auto [least, most] = std::ranges::minmax(m_points, {}, &Point::ms);
    const ValueAxis axis = valueAxis(least.ms, most.ms, 3);
    const QRectF plot(axisWidth, 4, width() - axisWidth, height() - labelHeight - 4);
    const auto y = [&](double ms) { return axis.place(ms, plot.bottom() - 6, plot.top() + 22); };
    const double step = plot.width() / static_cast<double>(m_points.size());
    const auto x = [&](qsizetype i) { return plot.left() + (static_cast<double>(i) + 0.5) * step; };
    painter.fillRect(plot, t.field);
    painter.setFont(ui::font(Text::Caption));
    for (const double tick : axis.ticks()) {
        painter.fillRect(QRectF(plot.left(), y(tick), plot.width(), 1), t.hairline);
        painter.setPen(t.text2);
        painter.drawText(QRectF(0, y(tick) - 9, axisWidth - 6, 18), Qt::AlignRight | Qt::AlignVCenter,
                         axis.label(tick));
    }
    for (qsizetype i = 0; i < m_points.size(); ++i) {
        if (m_points[i].run.isEmpty())
            continue;
        const double left = x(i) - step / 2;
        if (i > 0) {
            painter.setPen(QPen(t.text3, 1, Qt::DashLine));
            painter.drawLine(QPointF(left, plot.top()), QPointF(left, plot.bottom()));
        }
        qsizetype next = i + 1;
        while (next < m_points.size() && m_points[next].run.isEmpty())
            ++next;
        const double room = x(next) - step / 2 - left - 10;
        if (room < leastWords)
            continue;
        painter.setPen(t.text2);
        painter.drawText(QPointF(left + 5, plot.top() + 14),
                         painter.fontMetrics().elidedText(m_points[i].run, Qt::ElideRight, int(room)));
    }
    if (m_mean)
        painter.fillRect(QRectF(plot.left(), y(*m_mean), plot.width(), 1), t.text1);
    const double radius = std::clamp(step / 3, 1.0, 3.0);
    for (qsizetype i = 0; i < m_points.size(); ++i) {
        const QPointF at(x(i), y(m_points[i].ms));
        if (m_points[i].rejected) {
            painter.setPen(QPen(t.text1, 1.5));
            painter.drawLine(at - QPointF(3.5, 3.5), at + QPointF(3.5, 3.5));
            painter.drawLine(at - QPointF(3.5, -3.5), at + QPointF(3.5, -3.5));
        } else {
            painter.setPen(Qt::NoPen);
            painter.setBrush(t.text2);
            painter.drawEllipse(at, radius, radius);
        }
    }
    painter.setPen(t.text2);
    const int every = std::max(1, static_cast<int>((m_points.size() + 5) / 6));
    for (int i = 0; i < m_points.size(); i += every)
        painter.drawText(QRectF(x(i) - 20, plot.bottom() + 2, 40, 18), Qt::AlignHCenter | Qt::AlignVCenter,
                         QString::number(i + 1));
}

OrderPanel::OrderPanel(QWidget* parent)
    : Panel(tr("Delay of each trial, as they were taken"), parent), m_plot(new OrderPlot),
      m_left(emptyNote({}, Text::State)),
      m_nothing(emptyNote(tr("Each trial that has a delay will stand here, in the order it was taken.")))
{
    setTrailing(tr("ms"));
    setHairline(false);
    auto* column = scrolledColumn(*this);
    addWidgets(*column, {m_plot, m_nothing, m_left});
    column->addStretch(1);
}

void OrderPanel::show(const ResultsView& view)
{
    m_plot->show(view);
    const bool any = std::ranges::any_of(view.results->trials, [&](const analysis::TrialOutcome& trial) {
        return trial.configuration == view.selected && hasDelay(trial);
    });
    m_plot->setVisible(any);
    m_nothing->setVisible(!any);
    m_left->setText(leftOut(view));
    m_left->setVisible(!m_left->text().isEmpty());
}

} // namespace ui
