#include "ui/publish/chart_preview.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_painter.h"
#include "ui/look/tokens.h"

#include <QPainter>
#include <algorithm>

namespace ui {
namespace {

constexpr int around = 16;

} // namespace

ChartPreview::ChartPreview(QWidget* parent) : QWidget(parent)
{
    setMinimumSize(320, 180);
    setAccessibleName(tr("Comparison chart"));
}

void ChartPreview::show(const ChartScene& scene)
{
    m_scene = scene;
    update();
}

void ChartPreview::setSafeArea(bool shown)
{
    m_safeArea = shown;
    update();
}

QRectF ChartPreview::place() const
{
    const QRectF room = QRectF(rect()).adjusted(around, around, -around, -around);
    const QSizeF size = chartSize.scaled(room.size(), Qt::KeepAspectRatio);
    return {room.center() - QPointF(size.width() / 2, size.height() / 2), size};
}

int ChartPreview::heightFor(int width)
{
    return qRound((width - 2 * around) * chartSize.height() / chartSize.width()) + 2 * around;
}

int ChartPreview::percent() const { return qRound(place().width() * devicePixelRatioF() / chartSize.width() * 100); }

void ChartPreview::resizeEvent(QResizeEvent*) { emit scaled(); }

void ChartPreview::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), tokens().surround);
    if (m_scene.size.isEmpty()) {
        painter.setPen(footageTokens().text2); // the surround stays dark in every theme
        painter.setFont(ui::font(Text::Emphasis));
        painter.drawText(rect(), Qt::AlignCenter, tr("The comparison chart appears with the first trial."));
        return;
    }
    const QRectF target = place();
    paintChart(painter, target, m_scene);
    if (!m_safeArea)
        return;
    const qreal scale = target.width() / chartSize.width();
    const QRectF safe(target.topLeft() + chartSafeArea.topLeft() * scale, chartSafeArea.size() * scale);
    const bool dark = m_scene.background.lightness() < 128;
    painter.setPen(QPen(dark ? QColor(0xbd, 0xbd, 0xbd) : QColor(0x45, 0x45, 0x45), 1, Qt::DashLine));
    painter.drawRect(safe);
}

} // namespace ui
