#include "ui/footage/pair_view.h"

#include "ui/footage/close_up.h"
#include "ui/look/tokens.h"

#include <QPainter>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int gap = 10;
constexpr int ringWidth = 2;
constexpr int captionHeight = 20;
constexpr double boxProportion = 0.8; // height to width
constexpr int smallestBox = 48;
constexpr double pairViewPixelsFrom = 2; // enlargement from which single pixels are to be seen

bool same(const PairView::Half& a, const PairView::Half& b)
{
    return a.picture == b.picture && a.caption == b.caption && a.frame == b.frame && a.coming == b.coming
           && a.stored.cacheKey() == b.stored.cacheKey();
}

} // namespace

PairView::PairView(session::RegionKind kind, QWidget* parent)
    : QWidget(parent), m_kind(kind),
      m_renderer([this](int slot, const RenderResult& result) { rendered(std::size_t(slot), result); })
{
    QSizePolicy policy(QSizePolicy::Preferred, QSizePolicy::Preferred);
    policy.setHeightForWidth(true);
    setSizePolicy(policy);
}

void PairView::setRegion(const media::Rect& region, const PictureGeometry& geometry)
{
    if (region == m_region && geometry == m_geometry)
        return;
    m_region = region;
    m_geometry = geometry;
    m_shown = {}; // of another place
    renderHalf(0);
    renderHalf(1);
}

void PairView::setHalves(const Half& before, const Half& at)
{
    const std::array<const Half*, 2> now{&before, &at};
    for (std::size_t half = 0; half < 2; ++half) {
        if (same(m_halves[half], *now[half]))
            continue;
        m_halves[half] = *now[half];
        renderHalf(half);
    }
}

void PairView::setMarked(bool marked)
{
    m_marked = marked;
    update();
}

void PairView::setBrightness(double gain, double gamma)
{
    m_gain = gain;
    m_gamma = gamma;
    renderHalf(0);
    renderHalf(1);
}

void PairView::setFlipped(bool flipped)
{
    m_flipped = flipped;
    update();
}

int PairView::heightForWidth(int width) const
{
    return int(std::lround((width - gap) / 2 * boxProportion)) + captionHeight;
}

QSize PairView::sizeHint() const { return {276, heightForWidth(276)}; }

QSize PairView::minimumSizeHint() const { return {2 * smallestBox + gap, smallestBox + captionHeight}; }

QRect PairView::box(std::size_t half) const
{
    const int width = (this->width() - gap) / 2;
    const int height =
        std::max(smallestBox, std::min(int(std::lround(width * boxProportion)), this->height() - captionHeight));
    return QRect(half == 0 ? 0 : this->width() - width, 0, width, height);
}

media::Rect PairView::shownRect() const
{
    return isPlaced() ? closeUpSource(m_region, m_geometry, box(0).size()) : media::Rect{};
}

/// Of either half.
media::View PairView::view() const
{
    media::View view = closeUpView(m_region, m_geometry, box(0).size(), devicePixelRatioF());
    view.gain = m_gain;
    view.gamma = m_gamma;
    return view;
}

void PairView::renderHalf(std::size_t half)
{
    const Half& wanted = m_halves[half];
    const bool placed = isPlaced();
    const media::View view = placed ? this->view() : media::View{};
    const bool usable = placed && wanted.picture.shows(view); // a reduced one may not be large enough
    const bool stays = !m_shown[half].image.isNull() && wanted.coming && wanted.stored.isNull();
    if (placed && !usable && stays)
        return; // until the picture is there
    m_latest[half] = ++m_request;
    m_asked[half] = wanted;
    if (!usable) {
        m_renderer.drop(int(half));
        m_shown[half] = {wanted.caption, wanted.frame, wanted.stored, false, std::nullopt};
        update();
        return;
    }
    RenderRequest request;
    request.picture = wanted.picture;
    request.tag = m_latest[half];
    request.measured = m_region;
    request.view = view;
    m_renderer.request(int(half), std::move(request));
}

void PairView::rendered(std::size_t half, const RenderResult& result)
{
    if (result.tag != m_latest[half])
        return; // of a half that has been replaced: its caption is gone
    const Half& wanted = m_asked[half];
    m_shown[half] = {result.fault.isEmpty() ? wanted.caption : result.fault, wanted.frame, result.image, true,
                     std::nullopt};
    if (result.levels)
        m_shown[half].brightness = int(std::lround(result.levels->mean));
    update();
}

void PairView::resizeEvent(QResizeEvent*)
{
    renderHalf(0);
    renderHalf(1);
}

void PairView::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    paintHalf(painter, 0);
    paintHalf(painter, 1);
}

void PairView::paintHalf(QPainter& painter, std::size_t half) const
{
    const Tokens& t = tokens();
    const QRect frame = box(half);
    const bool isRight = half == 1;
    const Shown& shown = m_shown[isRight && m_flipped ? 0 : half];
    const QRect captionRow(frame.left(), frame.bottom() + 1, frame.width(), captionHeight);
    paintCaption(painter, captionRow, shown, isRight && !shown.image.isNull());
    painter.setBrush(Qt::NoBrush);
    if (shown.image.isNull()) {
        painter.fillRect(frame, t.field);
        painter.setPen(QPen(t.fieldEdge, 1, Qt::DashLine));
        painter.drawRect(frame.adjusted(0, 0, -1, -1));
        return;
    }
    painter.fillRect(frame, t.surround);
    // In device pixels, so that what was rendered for the box is copied, not scaled.
    const qreal ratio = devicePixelRatioF();
    const QSizeF room = QSizeF(frame.size()) * ratio;
    const QSizeF size =
        shown.fitted ? QSizeF(shown.image.size()) : QSizeF(shown.image.size()).scaled(room, Qt::KeepAspectRatio);
    const QPoint corner = QPointF(std::floor(frame.left() * ratio + (room.width() - size.width()) / 2),
                                  std::floor(frame.top() * ratio + (room.height() - size.height()) / 2))
                              .toPoint();
    painter.save();
    painter.scale(1 / ratio, 1 / ratio);
    painter.setRenderHint(QPainter::SmoothPixmapTransform, size.width() < pairViewPixelsFrom * shown.image.width());
    if (shown.fitted)
        painter.drawImage(corner, shown.image);
    else
        painter.drawImage(QRectF(corner, size), shown.image);
    painter.restore();
    if (isRight) {
        QPen ring(m_kind == session::RegionKind::Lamp ? t.press : t.response, ringWidth, Qt::SolidLine, Qt::FlatCap,
                  Qt::MiterJoin);
        if (!m_marked)
            ring.setDashPattern({3, 2});
        painter.setPen(ring);
        painter.drawRect(QRectF(frame).adjusted(1, 1, -1, -1));
    }
}

void PairView::paintCaption(QPainter& painter, const QRect& row, const Shown& shown, bool strong) const
{
    const Tokens& t = tokens();
    painter.setFont(ui::font(Text::State));
    int right = row.right();
    if (shown.brightness) {
        const QString number = QString::number(*shown.brightness);
        painter.setPen(t.text2);
        painter.drawText(row, Qt::AlignRight | Qt::AlignVCenter, number);
        right -= painter.fontMetrics().horizontalAdvance(number) + 8;
    }
    painter.setFont(ui::font(Text::State, strong ? QFont::DemiBold : QFont::Normal));
    painter.setPen(strong ? t.text1 : t.text2);
    const int room = right - row.left();
    QString text = shown.caption;
    if (shown.frame) {
        const QString withNumber = QString::number(*shown.frame) + QLatin1Char(' ') + shown.caption;
        if (painter.fontMetrics().horizontalAdvance(withNumber) <= room)
            text = withNumber;
    }
    painter.drawText(row, Qt::AlignLeft | Qt::AlignVCenter,
                     painter.fontMetrics().elidedText(text, Qt::ElideRight, room));
}

} // namespace ui
