#include "ui/clock/step_plot.h"
#include "ui/look/tokens.h"

#include <QPainter>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int axisHeight = 18, countHeight = 16;
constexpr double fewest = 5, widest = 22; ///< px of a bar

QString milliseconds(double seconds) { return withMinus(QString::number(seconds * 1000, 'g', 4)); }

} // namespace

StepPlot::StepPlot(QWidget* parent) : QWidget(parent)
{
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    setAccessibleName(tr("Steps between stamps by their length"));
}

void StepPlot::show(const timing::StampSteps& steps)
{
    m_steps = steps;
    QStringList spoken;
    for (const timing::StepBin& bin : m_steps.histogram)
        if (bin.count > 0)
            spoken << tr("%1 of %2 ms").arg(bin.count).arg(milliseconds((bin.from + bin.to) / 2));
    setToolTip(spoken.join(QLatin1Char('\n')));
    setAccessibleDescription(spoken.join(QStringLiteral(", ")));
    update();
}

void StepPlot::paintEvent(QPaintEvent*)
{
    if (m_steps.histogram.empty())
        return;
    QPainter painter(this);
    const Tokens& t = tokens();
    const QRectF field = QRectF(rect()).adjusted(0, countHeight, 0, -axisHeight);
    painter.setFont(ui::font(Text::Caption));
    std::int64_t most = 1;
    for (const timing::StepBin& bin : m_steps.histogram)
        most = std::max(most, bin.count);
    // Distinct steps lie side by side rather than to scale: 4 ms and 400 ms would leave nothing to see between them.
    const auto bins = static_cast<double>(m_steps.histogram.size());
    const double place = field.width() / bins, width = std::clamp(place - 2, fewest, widest);
    for (std::size_t i = 0; i < m_steps.histogram.size(); ++i) {
        const std::int64_t count = m_steps.histogram[i].count;
        if (count == 0)
            continue;
        const double height = std::max(2.0, field.height() * std::log1p(static_cast<double>(count))
                                                / std::log1p(static_cast<double>(most)));
        const double middle = field.left() + (static_cast<double>(i) + 0.5) * place;
        painter.fillRect(QRectF(middle - width / 2, field.bottom() - height, width, height),
                         count == most ? t.text1 : t.text3);
        painter.setPen(t.text2);
        if (place >= 40)
            painter.drawText(QRectF(middle - place / 2, field.bottom() - height - countHeight, place, countHeight),
                             Qt::AlignCenter, QString::number(count));
        if (place >= 44)
            painter.drawText(QRectF(middle - place / 2, field.bottom() + 2, place, axisHeight - 2), Qt::AlignCenter,
                             milliseconds((m_steps.histogram[i].from + m_steps.histogram[i].to) / 2));
    }
    painter.fillRect(QRectF(field.left(), field.bottom(), field.width(), 1), t.hairline);
    painter.setPen(t.text2);
    if (place < 44) {
        const QRectF axis(field.left(), field.bottom() + 2, field.width(), axisHeight - 2);
        painter.drawText(axis, Qt::AlignLeft | Qt::AlignVCenter, tr("%1 ms").arg(milliseconds(m_steps.shortest)));
        painter.drawText(axis, Qt::AlignRight | Qt::AlignVCenter, tr("%1 ms").arg(milliseconds(m_steps.longest)));
    }
}

} // namespace ui
