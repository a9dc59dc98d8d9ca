#include "ui/footage/frame_view.h"

#include "core/media/picture/picture.h"
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
    m_against.reset();
    m_imageAgainst.reset();
    m_change.reset();
    m_frame = m_imageFrame = -1;
    m_headline.clear();
    m_mapping.picture = footage ? PictureGeometry(footage->size, footage->rotation, footage->pixelAspect.toDouble())
                                : PictureGeometry();
    zoomFit();
    update();
}

void FrameView::setPicture(const media::CachedPicture& picture, timing::FrameNumber n,
                           const std::optional<Against>& against)
{
    assert(!against || !against->before || picture.native());
    m_headline.clear();
    m_picture = picture;
    m_against = against ? std::make_shared<const Against>(*against) : nullptr;
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

/// What the rendering goes by.
void FrameView::setFactor(double& factor, double to)
{
    if (std::exchange(factor, to) != to)
        renderAnew();
}

void FrameView::setGain(double gain) { setFactor(m_gain, std::max(0.0, gain)); }

void FrameView::setGamma(double gamma)
{
    assert(gamma > 0);
    setFactor(m_gamma, gamma);
}

void FrameView::setComparing(bool comparing)
{
    if (comparing == m_isComparing)
        return;
    m_isComparing = comparing;
    emit comparingChanged();
}

void FrameView::setChangeGain(double gain)
{
    assert(gain > 0);
    setFactor(m_changeGain, gain);
}

void FrameView::setLocalContrast(bool spread)
{
    m_localContrast = spread;
    renderAnew();
}

void FrameView::setPixelShown(bool shown)
{
    m_pixelShown = shown;
    update();
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
    view.localContrast = m_localContrast;
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
    request.own = m_against;
    if (m_against && m_against->before)
        request.change = {m_against->before, m_against->region, m_changeGain};
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
        m_change = result.change;
        m_imageAgainst = std::static_pointer_cast<const Against>(result.own);
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
        if (m_change)
            paintBlocks(painter, m_mapping,
                        m_imageAgainst && !m_imageAgainst->hinted.empty() ? m_imageAgainst->hinted : m_change->blocks);
        if (!m_editor.isArmed()) {
            if (const QString text = note(); !text.isEmpty())
                paintStrip(painter, text);
            if (m_pixelShown)
                paintPixel(painter);
        } else {
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
    const QString what = m_editor.draft() ? tr("Inside moves, an edge sizes, outside draws anew")
                         : lamp           ? tr("Drag a box around the lamp")
                                          : tr("Drag a box around the part of the screen that reacts");
    const QString keys = m_editor.draft() ? tr("arrows move, Shift sizes, Ctrl by 10; Enter keeps it, Esc leaves it")
                                          : tr("arrows place it by key, Esc cancel");
    paintStrip(painter, what + QStringLiteral("  \u00b7  ") + keys);
}

void FrameView::paintStrip(QPainter& painter, const QString& words) const
{
    painter.setFont(ui::font(Text::State));
    const QString text = painter.fontMetrics().elidedText(words, Qt::ElideRight, width() - 40);
    const int textWidth = painter.fontMetrics().horizontalAdvance(text);
    const QRect strip((width() - textWidth) / 2 - 12, height() - 12 - 28, textWidth + 24, 28);
    painter.fillRect(strip, onFootageLabel);
    painter.setPen(footageTokens().text1);
    painter.drawText(strip, Qt::AlignCenter, text);
}

/// What was taken out is told: a change that all of the region shows is in there, too.
QString FrameView::note() const
{
    if (!m_isComparing || !m_imageAgainst)
        return {};
    if (!m_imageAgainst->before)
        return m_imageAgainst->words;
    if (!m_change)
        return tr("%1: these pictures can't be compared, or the region is out of view").arg(m_imageAgainst->words);
    const double percent = std::round((m_change->light - 1) * 1000) / 10 + 0.0; // never -0.0
    return tr("%1  \u00b7  taken out: %2 px of movement, %3 % of brightness")
        .arg(m_imageAgainst->words)
        .arg(std::hypot(m_change->dx, m_change->dy), 0, 'f', 1)
        .arg(withMinus((percent > 0 ? QStringLiteral("+") : QString()) + QString::number(percent, 'f', 1)));
}

QString FrameView::pixelText(QPointF at) const
{
    const QPointF native = m_mapping.toNative(at);
    const int x = int(std::floor(native.x())), y = int(std::floor(native.y()));
    const media::Size size = m_mapping.picture.native();
    if (m_image.isNull() || x < 0 || y < 0 || x >= size.width || y >= size.height)
        return {};
    QString text = tr("x %1, y %2").arg(x).arg(y);
    const auto value = media::pixelAt(m_picture.native(), x, y);
    if (!value)
        return text;
    const QStringList names = value->rgb ? QStringList{tr("red"), tr("green"), tr("blue")}
                                         : QStringList{QStringLiteral("Y"), QStringLiteral("Cb"), QStringLiteral("Cr")};
    text += QStringLiteral("  \u00b7 ");
    for (std::size_t k = 0; k < value->codes.size(); ++k)
        text += QStringLiteral(" %1 %2").arg(names[qsizetype(k)]).arg(value->codes[k]);
    return value->depth > 8 ? tr("%1 of %2").arg(text).arg((1 << value->depth) - 1) : text;
}

/// Beside the pointer, where there is room.
void FrameView::paintPixel(QPainter& painter) const
{
    const QString text = m_pointer ? pixelText(*m_pointer) : QString();
    if (text.isEmpty())
        return;
    constexpr int away = 16;
    painter.setFont(ui::font(Text::State));
    QRect box(0, 0, painter.fontMetrics().horizontalAdvance(text) + 16, 24);
    const QPoint at = m_pointer->toPoint();
    box.moveTopLeft({at.x() + away + box.width() <= width() ? at.x() + away : at.x() - away - box.width(),
                     at.y() + away + box.height() <= height() ? at.y() + away : at.y() - away - box.height()});
    painter.fillRect(box, onFootageLabel);
    painter.setPen(footageTokens().text1);
    painter.drawText(box, Qt::AlignCenter, text);
}

} // namespace ui
