#include "ui/desk/mean_so_far_panel.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/report/sentences.h"
#include "core/stats/rounding.h"
#include "ui/desk/reading_progress.h"
#include "ui/look/panel.h"

#include <QPainter>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>

namespace ui {

namespace {

constexpr double dot = 6;

/// 1, 2 or 5 times a power of ten, so that about `wanted` steps make `span`.
double stepFor(double span, int wanted)
{
    const double rough = span / wanted;
    const double power = std::pow(10, std::floor(std::log10(rough)));
    for (const double factor : {1.0, 2.0, 5.0})
        if (rough <= factor * power)
            return factor * power;
    return 10 * power;
}

} // namespace

/// Every trial a dot over an axis in ms, below them the interval of the mean.
class DelayDots : public QWidget {
public:
    DelayDots()
    {
        setLow(false);
        setAccessibleName(MeanSoFarPanel::tr("Delays so far"));
    }
    void show(const std::vector<double>& delaysMs, std::optional<std::pair<double, double>> interval,
              std::optional<double> meanMs)
    {
        m_delays = delaysMs;
        m_interval = interval;
        m_mean = meanMs;
        update();
    }
    void setLow(bool low) { setFixedHeight(low ? 72 : 96); }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    std::vector<double> m_delays;
    std::optional<std::pair<double, double>> m_interval;
    std::optional<double> m_mean;
};

void DelayDots::paintEvent(QPaintEvent*)
{
    if (m_delays.empty())
        return;
    auto [least, most] = std::ranges::minmax(m_delays);
    if (m_interval) {
        least = std::min(least, m_interval->first);
        most = std::max(most, m_interval->second);
    }
    const double step = stepFor(std::max(most - least, 1e-3), width() > 400 ? 5 : 3);
    const double from = std::floor(least / step) * step, to = std::max(std::ceil(most / step) * step, from + step);
    const double axisY = height() - 20;
    const auto x = [&](double ms) { return 8 + (ms - from) / (to - from) * (width() - 16); };

    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const Tokens& t = tokens();
    painter.fillRect(QRectF(0, axisY, width(), 1), t.text3);
    painter.setFont(ui::font(Text::Caption));
    const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step))));
    for (double ms = from; ms <= to + step / 2; ms += step) {
        painter.fillRect(QRectF(x(ms), axisY, 1, 4), t.text3);
        const QString text = QString::fromStdString(stats::formatFixed(ms, decimals));
        const double half = painter.fontMetrics().horizontalAdvance(text) / 2.0;
        painter.setPen(t.text2);
        painter.drawText(QPointF(std::clamp(x(ms) - half, 0.0, width() - 2 * half), axisY + 15), text);
    }
    painter.drawText(QRectF(0, axisY - 16, width() - 1, 14), Qt::AlignRight, MeanSoFarPanel::tr("ms"));

    // Dots keep their place on the axis and move up where they would cover each other.
    std::vector<double> sorted = m_delays;
    std::ranges::sort(sorted);
    std::vector<QPointF> placed;
    const double base = axisY - 24;
    painter.setPen(Qt::NoPen);
    painter.setBrush(t.text2);
    for (const double ms : sorted) {
        QPointF centre(x(ms), base);
        const auto covers = [&](const QPointF& other) {
            return std::hypot(other.x() - centre.x(), other.y() - centre.y()) < dot + 1;
        };
        while (centre.y() > dot && std::ranges::any_of(placed, covers))
            centre.ry() -= 1;
        placed.push_back(centre);
        painter.drawEllipse(centre, dot / 2, dot / 2);
    }
    if (m_interval) {
        painter.setPen(QPen(t.text1, 2));
        const double y = axisY - 10, low = x(m_interval->first), high = x(m_interval->second);
        painter.drawLine(QPointF(low, y), QPointF(high, y));
        for (const double end : {low, high})
            painter.drawLine(QPointF(end, y - 4), QPointF(end, y + 4));
        if (m_mean)
            painter.drawLine(QPointF(x(*m_mean), y - 6), QPointF(x(*m_mean), y + 6));
    }
}

MeanSoFarPanel::MeanSoFarPanel(SessionModel& model, SessionResults& known, DeskState& state, QWidget* parent)
    : QWidget(parent), m_model(model), m_results(known), m_state(state)
{
    auto* outer = new QVBoxLayout(this);
    outer->setContentsMargins(0, 0, 0, 0);
    m_panel = new Panel(tr("So far"));
    m_panel->setHairline(false);
    outer->addWidget(m_panel);
    auto* figures = new QHBoxLayout;
    m_figure = new Label({}, Text::Heading, Tone::Primary, QFont::DemiBold);
    m_beside = new Label({}, Text::State, Tone::Secondary);
    figures->addWidget(m_figure);
    figures->addStretch(1);
    figures->addWidget(m_beside, 0, Qt::AlignBottom);
    m_panel->body()->addLayout(figures);
    m_dots = new DelayDots;
    m_panel->body()->addWidget(m_dots);
    m_note = wrapping({}, Text::State, Tone::Secondary);
    m_panel->body()->addWidget(m_note);
    outer->addStretch(1);
    connect(&state, &DeskState::trialChanged, this, &MeanSoFarPanel::refresh);
    connect(&state, &DeskState::delaysShownChanged, this, &MeanSoFarPanel::refresh);
    connect(&known, &SessionResults::changed, this, [this] {
        if (m_state.delaysShown())
            refresh();
    });
    refresh();
}

void MeanSoFarPanel::setLow(bool low)
{
    if (low == std::exchange(m_low, low))
        return;
    m_dots->setLow(low);
    refresh();
}

void MeanSoFarPanel::refresh()
{
    const session::Document& document = *m_model.document();
    const session::ConfigurationId id = m_state.configuration();
    const session::Configuration* configuration = session::find(document, id);
    m_panel->setTitle(configuration ? tr("%1 so far").arg(QString::fromStdString(configuration->name)) : tr("So far"));
    m_figure->hide();
    m_beside->hide();
    m_dots->hide();
    m_note->show();
    if (!configuration) {
        m_panel->setTrailing(QString());
        m_note->setText(document.configurations.empty()
                            ? tr("Mean and interval of a configuration, trial by trial.")
                            : tr("No configuration yet: a digit says to which one the trial belongs."));
        return;
    }
    const ReadingCount count = countOf(document, id);
    const int planned = session::plannedTrials(document.settings.plan, id).value_or(0);
    m_panel->setTrailing(planned > 0 ? tr("%1 of %n trial(s)", nullptr, planned).arg(count.read)
                                     : tr("%n trial(s)", nullptr, count.read));
    if (!m_state.delaysShown()) {
        m_note->setText(
            tr("Delays and means stay hidden while reading, so that what you expect can't lead your eye. Ctrl+D shows "
               "them; that is recorded."));
        return;
    }
    const analysis::Results& results = *m_results.known().results;
    const analysis::ConfigurationResult* result = analysis::find(results, id);
    const auto figure = result ? analysis::meanFigure(*result) : std::nullopt;
    if (!figure) {
        m_note->setText(result ? tr("No mean: %1.").arg(QString::fromStdString(report::noMeanWords(*result)))
                               : QString());
        return;
    }
    m_figure->setText(QString::fromStdString(analysis::plusMinus(*figure)) + tr(" ms"));
    QStringList beside;
    if (result->summary.median)
        beside << tr("median %1")
                      .arg(QString::fromStdString(stats::formatFixed(*result->summary.median, figure->decimals)));
    if (result->summary.sd)
        beside << tr("SD %1").arg(QString::fromStdString(stats::formatFixed(*result->summary.sd, figure->decimals)));
    m_beside->setText(beside.join(QLatin1String("   ")));
    std::optional<std::pair<double, double>> interval;
    if (const auto* shown = result->mean.shown(); shown && shown->interval)
        interval.emplace(shown->interval->low(), shown->interval->high());
    m_dots->show(result->delaysMs, interval, result->summary.mean);
    QString note = interval ? tr("Each dot a trial; bar: %1 interval of the mean.")
                                  .arg(QString::fromStdString(analysis::percent(results.level)))
                            : tr("Each dot a trial.");
    if (result->rejected > 0)
        note += tr(" %1 rejected.").arg(result->rejected);
    m_note->setText(note);
    m_note->setVisible(!m_low);
    m_figure->show();
    m_beside->show();
    m_dots->QWidget::show();
}

} // namespace ui
