#include "ui/footage/picture_geometry.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace ui {

PictureGeometry::PictureGeometry(media::Size native, int rotation, double pixelAspect)
    : m_native(native), m_rotation(rotation), m_aspect(pixelAspect)
{
    assert(rotation == 0 || rotation == 90 || rotation == 180 || rotation == 270);
    assert(pixelAspect > 0);
}

media::Size PictureGeometry::turnedSize() const
{
    return m_rotation % 180 == 0 ? m_native : media::Size{m_native.height, m_native.width};
}

QSizeF PictureGeometry::stretch() const
{
    const QSizeF native(std::max(1.0, m_aspect), std::max(1.0, 1 / m_aspect));
    return m_rotation % 180 == 0 ? native : native.transposed();
}

QSizeF PictureGeometry::uprightSize() const
{
    const media::Size turned = turnedSize();
    return {turned.width * stretch().width(), turned.height * stretch().height()};
}

/// Takes the turned picture for the native one, and turns it on to where it began.
PictureGeometry PictureGeometry::turnedBack() const { return {turnedSize(), (360 - m_rotation) % 360, 1}; }

QPointF PictureGeometry::toTurned(QPointF p) const
{
    const double w = m_native.width, h = m_native.height;
    switch (m_rotation) {
    case 90: return {h - p.y(), p.x()};
    case 180: return {w - p.x(), h - p.y()};
    case 270: return {p.y(), w - p.x()};
    default: return p;
    }
}

QPointF PictureGeometry::fromTurned(QPointF p) const { return turnedBack().toTurned(p); }

media::Rect PictureGeometry::toTurned(const media::Rect& r) const
{
    const auto [w, h] = m_native;
    switch (m_rotation) {
    case 90: return {h - r.y - r.height, r.x, r.height, r.width};
    case 180: return {w - r.x - r.width, h - r.y - r.height, r.width, r.height};
    case 270: return {r.y, w - r.x - r.width, r.height, r.width};
    default: return r;
    }
}

media::Rect PictureGeometry::fromTurned(const media::Rect& r) const { return turnedBack().toTurned(r); }

QPointF PictureGeometry::toUpright(QPointF native) const
{
    const QPointF turned = toTurned(native);
    return {turned.x() * stretch().width(), turned.y() * stretch().height()};
}

QPointF PictureGeometry::fromUpright(QPointF upright) const
{
    return fromTurned(QPointF(upright.x() / stretch().width(), upright.y() / stretch().height()));
}

QPointF ViewMapping::toView(QPointF native) const
{
    return (picture.toUpright(native) - centre) * scale + QPointF(view.width() / 2, view.height() / 2);
}

QPointF ViewMapping::toNative(QPointF inView) const
{
    return picture.fromUpright((inView - QPointF(view.width() / 2, view.height() / 2)) / scale + centre);
}

QRectF ViewMapping::toView(const media::Rect& r) const
{
    return QRectF(toView(QPointF(r.x, r.y)), toView(QPointF(r.x + r.width, r.y + r.height))).normalized();
}

media::Rect ViewMapping::visible() const
{
    if (picture.isEmpty() || view.isEmpty() || scale <= 0)
        return {};
    const QRectF seen = QRectF(toNative(QPointF(0, 0)), toNative(QPointF(view.width(), view.height()))).normalized();
    const int left = std::max(0, int(std::floor(seen.left())));
    const int top = std::max(0, int(std::floor(seen.top())));
    const int right = std::min(picture.native().width, int(std::ceil(seen.right())));
    const int bottom = std::min(picture.native().height, int(std::ceil(seen.bottom())));
    if (right <= left || bottom <= top)
        return {};
    return {left, top, right - left, bottom - top};
}

void ViewMapping::clampCentre()
{
    const QSizeF size = picture.uprightSize();
    const auto clamped = [&](double at, double length, double seen) {
        return seen >= length ? length / 2 : std::clamp(at, seen / 2, length - seen / 2);
    };
    centre = {clamped(centre.x(), size.width(), view.width() / scale),
              clamped(centre.y(), size.height(), view.height() / scale)};
}

double ViewMapping::fitScale() const
{
    const QSizeF size = picture.uprightSize();
    if (size.isEmpty() || view.isEmpty())
        return 1;
    return std::min(view.width() / size.width(), view.height() / size.height());
}

} // namespace ui
