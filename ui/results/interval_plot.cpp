#include "ui/results/interval_plot.h"
#include "ui/look/tokens.h"
#include "ui/results/value_axis.h"

#include <QPainter>
#include <algorithm>

namespace ui {
namespace {

constexpr int bandTop = 20, bandBottom = 68;
constexpr int plotHeight = 96, legendHeight = 16;

QString withSign(const ValueAxis& axis, double tick)
{
    const QString label = axis.label(tick);
    return tick > axis.step / 2 ? QLatin1Char('+') + label : label;
}

} // namespace

IntervalPlot::IntervalPlot(QWidget* parent) : QWidget(parent)
{
    setFixedHeight(plotHeight);
    setMinimumWidth(160);
    setAccessibleName(tr("Interval of the difference against the margin"));
}

void IntervalPlot::show(const Shown& shown)
{
    m_shown = shown;
    setFixedHeight(plotHeight + (shown.sameLow ? legendHeight : 0));
    update();
}

void IntervalPlot::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const Tokens& t = tokens();
    const double margin = m_shown.margin.value_or(0);
    const ValueAxis axis = valueAxis(std::min({m_shown.low, -margin, 0.0}), std::max({m_shown.high, margin, 0.0}), 5);
    const double left = 28, right = width() - 36;
    const auto x = [&](double ms) { return axis.place(ms, left, right); };
    painter.setFont(ui::font(Text::Caption));

    if (m_shown.margin) {
        const QRectF band(x(-margin), bandTop, x(margin) - x(-margin), bandBottom - bandTop);
        painter.fillRect(band, t.selected);
        painter.setPen(QPen(t.text3, 1, Qt::DashLine));
        painter.drawLine(band.topLeft(), band.bottomLeft());
        painter.drawLine(band.topRight(), band.bottomRight());
        painter.setPen(t.text2);
        const QString words = tr("margin \u00b1%1 ms").arg(QString::number(margin, 'g', 6));
        const int width = painter.fontMetrics().horizontalAdvance(words);
        painter.drawText(
            QPointF(std::clamp(band.center().x() - width / 2.0, 0.0, double(this->width() - width)), bandTop - 6),
            words);
    }
    painter.fillRect(QRectF(x(0) - 1, bandTop, 2, bandBottom - bandTop), t.text2);

    const double y = (bandTop + bandBottom) / 2.0, low = x(m_shown.low), high = x(m_shown.high);
    painter.fillRect(QRectF(low, y - 1.5, high - low, 3), t.text1);
    painter.fillRect(QRectF(low - 1, y - 8, 3, 16), t.text1);
    painter.fillRect(QRectF(high - 2, y - 8, 3, 16), t.text1);
    if (m_shown.sameLow)
        for (const double ms : {*m_shown.sameLow, *m_shown.sameHigh}) // shorter than the caps
            painter.fillRect(QRectF(x(ms) - 1, y - 5, 2, 10), t.text1);
    painter.setPen(QPen(t.panel, 2));
    painter.setBrush(t.text1);
    painter.drawEllipse(QPointF(x(m_shown.estimate), y), 6, 6);

    painter.setPen(t.text2);
    const std::vector<double> ticks = axis.ticks();
    for (const double tick : ticks) {
        painter.fillRect(QRectF(x(tick), bandBottom, 1, 4), t.text3);
        const bool last = tick == ticks.back();
        const QString label = withSign(axis, tick);
        const double at = x(tick) - painter.fontMetrics().horizontalAdvance(label) / 2.0;
        painter.drawText(QPointF(at, bandBottom + 18), last ? tr("%1 ms").arg(label) : label);
    }
    if (m_shown.sameLow)
        painter.drawText(QRectF(0, plotHeight, width(), legendHeight), Qt::AlignHCenter | Qt::AlignVCenter,
                         painter.fontMetrics().elidedText(tr("inner marks: what “same within the margin” goes by"),
                                                          Qt::ElideRight, width()));
}

} // namespace ui
