#include "ui/footage/frame_view.h"

#include "ui/look/tokens.h"

#include <QPainter>
#include <QResizeEvent>
#include <algorithm>
#include <cassert>
#include <cmath>

namespace ui {
namespace {

constexpr int stillAfter = 120;  // ms without a change before the exact rendering
constexpr double pixelsFrom = 2; // zoom from which single pixels are to be seen
constexpr qreal messageWidth = 520;

} // namespace

FrameView::FrameView(QWidget* parent)
    : QWidget(parent), m_renderer([this](int, const RenderResult& result) { rendered(result); })
{
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setAttribute(Qt::WA_OpaquePaintEvent);
    setMinimumSize(160, 120);
    setAccessibleName(tr("frame in view"));
    m_still.setSingleShot(true);
    m_still.setInterval(stillAfter);
    connect(&m_still, &QTimer::timeout, this, [this] { render(true); });
}

void FrameView::setFootage(std::shared_ptr<const media::Footage> footage)
{
    cancelRegion();
    ++m_generation;
    m_renderer.drop(0);
    m_picture = {};
    m_image = {};
    m_frame = m_imageFrame = -1;
    m_headline.clear();
    m_mapping.picture = footage ? PictureGeometry(footage->size, footage->rotation, footage->pixelAspect.toDouble())
                                : PictureGeometry();
    zoomFit();
    update();
}

void FrameView::setPicture(const media::CachedPicture& picture, timing::FrameNumber n)
{
    m_headline.clear();
    m_picture = picture;
    m_frame = n.value;
    if (m_frame == m_imageFrame)
        ++m_generation; // back to what is shown: a frame still being rendered would only flash by
    if (!picture) {
        m_image = {};
        m_renderer.drop(0);
        update();
        return;
    }
    if (picture.size()
        != m_mapping.picture.native()) { // a stream may change its size; each picture is shown in its own
        m_mapping.picture = PictureGeometry(picture.size(), m_mapping.picture.rotation(), 1);
        viewMoved();
        return;
    }
    renderAnew();
}

void FrameView::setMessage(const QString& headline, const QString& sentence, std::optional<double> progress)
{
    m_headline = headline;
    m_sentence = sentence;
    m_progress = progress;
    update();
}

void FrameView::setRegions(const QVector<ShownRegion>& regions)
{
    m_regions = regions;
    update();
}

void FrameView::setGain(double gain)
{
    gain = std::max(0.0, gain);
    if (gain == m_gain)
        return;
    m_gain = gain;
    renderAnew();
}

void FrameView::setGamma(double gamma)
{
    assert(gamma > 0);
    if (gamma == m_gamma)
        return;
    m_gamma = gamma;
    renderAnew();
}

/// Fast now, exact once nothing has changed for a moment.
void FrameView::renderAnew()
{
    render(false);
    m_still.start();
}

QRectF FrameView::onDevice(const QRectF& inView) const
{
    const qreal ratio = devicePixelRatioF();
    return QRectF(QPointF(std::round(inView.left() * ratio), std::round(inView.top() * ratio)),
                  QPointF(std::round(inView.right() * ratio), std::round(inView.bottom() * ratio)));
}

bool FrameView::showsPixels() const { return zoom() > pixelsFrom * 0.999; }

bool FrameView::canShow(const media::CachedPicture& picture) const
{
    if (!picture || picture.size() != m_mapping.picture.native())
        return static_cast<bool>(picture.native());
    const media::Rect source = m_mapping.visible();
    return source.width == 0 || picture.shows(viewOf(source, false));
}

double FrameView::scale() const
{
    const QSizeF stretch = m_mapping.picture.stretch();
    return m_mapping.picture.isEmpty()
               ? 0
               : m_mapping.scale * devicePixelRatioF() * std::max(stretch.width(), stretch.height());
}

media::View FrameView::viewOf(const media::Rect& source, bool exact) const
{
    const QSize target = onDevice(m_mapping.toView(source)).size().toSize().expandedTo(QSize(1, 1));
    media::View view;
    view.source = source;
    view.rotation = m_mapping.picture.rotation();
    view.target = view.rotation % 180 == 0 ? media::Size{target.width(), target.height()}
                                           : media::Size{target.height(), target.width()};
    view.gain = m_gain;
    view.gamma = m_gamma;
    view.smooth = !showsPixels();
    view.exact = exact;
    return view;
}

void FrameView::render(bool exact)
{
    const media::Rect source = m_mapping.visible();
    if (!m_picture || source.width == 0)
        return;
    RenderRequest request;
    request.picture = m_picture;
    request.frame = m_frame;
    request.tag = m_generation;
    request.view = viewOf(source, exact);
    if (!m_picture.shows(request.view)) {
        emit pictureTooSmall(); // zoomed in since; what is shown stays, enlarged, until the native one is there
        return;
    }
    m_renderer.request(0, std::move(request));
}

void FrameView::rendered(const RenderResult& result)
{
    if (result.tag != m_generation || !m_picture)
        return;
    if (!result.fault.isEmpty()) {
        setMessage(tr("This frame can't be shown"), result.fault);
    } else {
        m_image = result.image;
        m_imageSource = result.view.source;
        m_imageFrame = result.frame;
        update();
    }
    emit frameShown(result.frame);
}

/// Zoom, position or size of the view changed: the old rendering is shown moved until the new one is there.
void FrameView::viewMoved()
{
    if (m_fitted && !m_mapping.picture.isEmpty())
        m_mapping.scale = m_mapping.fitScale();
    m_mapping.clampCentre();
    update();
    renderAnew();
}

void FrameView::resizeEvent(QResizeEvent* event)
{
    m_mapping.view = event->size();
    viewMoved();
    if (m_fitted)
        emit zoomChanged();
}

void FrameView::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), tokens().surround);
    if (!m_headline.isEmpty()) {
        paintMessage(painter);
    } else if (!m_image.isNull()) {
        paintPicture(painter);
        QVector<ShownRegion> regions = m_regions;
        if (m_edited && m_editor.isArmed())
            regions.removeIf([this](const ShownRegion& r) { return r.kind == m_editor.kind() && r.rect == *m_edited; });
        paintRegions(painter, m_mapping, regions);
        if (m_editor.isArmed()) {
            if (const auto draft = m_editor.draft())
                paintDraft(painter, m_mapping, m_editor.kind(), *draft);
            paintRegionHint(painter);
        }
    }
    if (hasFocus()) {
        painter.setPen(QPen(tokens().viewRing, 2, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin));
        painter.setBrush(Qt::NoBrush);
        painter.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
    }
}

void FrameView::paintPicture(QPainter& painter) const
{
    const QRectF target = onDevice(m_mapping.toView(m_imageSource));
    const bool asRendered = target.size().toSize() == m_image.size();
    painter.save();
    painter.scale(1 / devicePixelRatioF(),
                  1 / devicePixelRatioF()); // device pixels, so that they are copied, not scaled
    painter.setRenderHint(QPainter::SmoothPixmapTransform, !asRendered && !showsPixels());
    if (asRendered)
        painter.drawImage(target.topLeft().toPoint(), m_image);
    else
        painter.drawImage(target, m_image);
    painter.restore();
}

/// The surround is dark in both themes, and so are the colours on it.
void FrameView::paintMessage(QPainter& painter) const
{
    const Tokens& t = footageTokens();
    const qreal width = std::min<qreal>(messageWidth, this->width() - 2 * grid::padding);
    const qreal left = std::round((this->width() - width) / 2);
    const QFont headlineFont = ui::font(Text::Heading, QFont::DemiBold), sentenceFont = ui::font(Text::Body);
    const int flags = Qt::AlignHCenter | Qt::TextWordWrap;
    const QRectF room(left, 0, width, 10'000);
    painter.setFont(headlineFont);
    const qreal headlineHeight = painter.boundingRect(room, flags, m_headline).height();
    painter.setFont(sentenceFont);
    const qreal sentenceHeight = m_sentence.isEmpty() ? 0 : 8 + painter.boundingRect(room, flags, m_sentence).height();
    const qreal barHeight = m_progress ? 16 + 6 : 0;

    qreal y = std::round((height() - headlineHeight - sentenceHeight - barHeight) / 2);
    painter.setPen(t.text1);
    painter.setFont(headlineFont);
    painter.drawText(QRectF(left, y, width, headlineHeight), flags, m_headline);
    y += headlineHeight;
    if (!m_sentence.isEmpty()) {
        painter.setPen(t.text2);
        painter.setFont(sentenceFont);
        painter.drawText(QRectF(left, y + 8, width, sentenceHeight), flags, m_sentence);
        y += sentenceHeight;
    }
    if (m_progress) {
        const qreal barWidth = std::min<qreal>(320, width);
        const QRectF bar(std::round((this->width() - barWidth) / 2), std::round(y + 16), barWidth, 6);
        painter.fillRect(bar, t.field);
        painter.fillRect(QRectF(bar.topLeft(), QSizeF(std::round(barWidth * std::clamp(*m_progress, 0.0, 1.0)), 6)),
                         t.text2);
    }
}

void FrameView::paintRegionHint(QPainter& painter) const
{
    const bool lamp = m_editor.kind() == session::RegionKind::Lamp;
    const QString what = m_editor.draft() ? tr("Drag inside to move it, an edge to size it, outside to draw it anew")
                         : lamp           ? tr("Drag a box around the lamp")
                                          : tr("Drag a box around the part of the screen that reacts");
    const QString keys =
        m_editor.draft() ? tr("arrows, Shift sizes, Enter done, Esc cancel") : tr("arrows place it by key, Esc cancel");
    painter.setFont(ui::font(Text::State));
    const QString text =
        painter.fontMetrics().elidedText(what + QStringLiteral("  \u00b7  ") + keys, Qt::ElideRight, width() - 40);
    const int textWidth = painter.fontMetrics().horizontalAdvance(text);
    const QRect strip((width() - textWidth) / 2 - 12, height() - 12 - 28, textWidth + 24, 28);
    painter.fillRect(strip, onFootageLabel);
    painter.setPen(footageTokens().text1);
    painter.drawText(strip, Qt::AlignCenter, text);
}

} // namespace ui
