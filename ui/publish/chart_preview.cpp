#include "ui/publish/chart_preview.h"
#include "ui/chart/chart_style.h"
#include "ui/chart/chart_painter.h"
#include "ui/look/tokens.h"

#include <QPainter>

namespace ui {
namespace {

constexpr int around = 16, chequer = 12;

void paintChequers(QPainter& painter, const QRectF& target)
{
    painter.save();
    painter.setClipRect(target);
    painter.fillRect(target, QColor(0x70, 0x70, 0x70));
    for (int row = 0; row * chequer < target.height(); ++row)
        for (int column = row % 2; column * chequer < target.width(); column += 2)
            painter.fillRect(QRectF(target.left() + column * chequer, target.top() + row * chequer, chequer, chequer),
                             QColor(0x58, 0x58, 0x58));
    painter.restore();
}

} // namespace

ChartPreview::ChartPreview(QWidget* parent) : QWidget(parent)
{
    setMinimumSize(320, 180);
    setAccessibleName(tr("Comparison chart"));
}

void ChartPreview::show(const ChartScene& scene)
{
    m_scene = scene;
    m_picture = {};
    m_ofPicture = false;
    if (!scene.pixels.isEmpty())
        m_pixels = scene.pixels;
    emit scaled();
    update();
}

void ChartPreview::show(const QImage& picture, QSize pixels)
{
    m_picture = picture;
    m_ofPicture = true;
    m_pixels = pixels;
    emit scaled();
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
    const QSizeF size = QSizeF(m_pixels).scaled(room.size(), Qt::KeepAspectRatio);
    return {room.center() - QPointF(size.width() / 2, size.height() / 2), size};
}

int ChartPreview::heightFor(int width) const
{
    return qRound((width - 2 * around) * qreal(m_pixels.height()) / m_pixels.width()) + 2 * around;
}

int ChartPreview::percent() const { return qRound(place().width() * devicePixelRatioF() / m_pixels.width() * 100); }

void ChartPreview::resizeEvent(QResizeEvent*) { emit scaled(); }

void ChartPreview::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), tokens().surround);
    if (m_ofPicture ? m_picture.isNull() : m_scene.size.isEmpty()) {
        painter.setPen(footageTokens().text2); // the surround stays dark in every theme
        painter.setFont(ui::font(Text::Emphasis));
        painter.drawText(rect(), Qt::AlignCenter,
                         m_ofPicture ? tr("There is no picture of it yet.")
                                     : tr("The comparison chart appears with the first trial."));
        return;
    }
    const QRectF target = place();
    if (m_ofPicture ? m_picture.hasAlphaChannel() : m_scene.background.alpha() == 0)
        paintChequers(painter, target);
    if (m_ofPicture) {
        painter.setRenderHint(QPainter::SmoothPixmapTransform);
        painter.drawImage(target, m_picture);
    } else {
        paintChart(painter, target, m_scene);
    }
    if (!m_safeArea)
        return;
    const QRectF safe = safeAreaOf(target.size()).translated(target.topLeft());
    const bool dark = m_scene.background.lightness() < 128;
    painter.setPen(QPen(dark ? QColor(0xbd, 0xbd, 0xbd) : QColor(0x45, 0x45, 0x45), 1, Qt::DashLine));
    painter.drawRect(safe);
}

} // namespace ui
