#include "ui/footage/close_up.h"

#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr double surroundings = 0.08;   // of the region's side, shown on each side of it
constexpr double closeUpPixelsFrom = 2; // enlargement from which single pixels are to be seen

} // namespace

media::Rect closeUpSource(const media::Rect& native, const PictureGeometry& geometry, const QSize& box)
{
    const media::Rect region = geometry.toTurned(native);
    const media::Size picture = geometry.turnedSize();
    const QSizeF stretch = geometry.stretch();
    const double wanted = box.width() * stretch.height() / (box.height() * stretch.width()); // in turned pixels
    double width = region.width * (1 + 2 * surroundings), height = region.height * (1 + 2 * surroundings);
    if (width < wanted * height)
        width = wanted * height;
    else
        height = width / wanted;
    media::Rect r;
    r.width = std::clamp(int(std::lround(width)), 1, picture.width);
    r.height = std::clamp(int(std::lround(height)), 1, picture.height);
    r.x = std::clamp(region.x - (r.width - region.width) / 2, 0, picture.width - r.width);
    r.y = std::clamp(region.y - (r.height - region.height) / 2, 0, picture.height - r.height);
    return geometry.fromTurned(r);
}

media::View closeUpView(const media::Rect& region, const PictureGeometry& geometry, const QSize& box, qreal pixelRatio)
{
    const media::Rect from = closeUpSource(region, geometry, box);
    const media::Rect turned = geometry.toTurned(from);
    const QSizeF stretch = geometry.stretch();
    const QSizeF upright(turned.width * stretch.width(), turned.height * stretch.height());
    QSizeF fitted = upright.scaled(box, Qt::KeepAspectRatio);
    if (std::abs(fitted.width() - box.width()) < 2 && std::abs(fitted.height() - box.height()) < 2)
        fitted = box; // the proportions are off by less than a pixel of rounding
    const QSize target = (fitted * pixelRatio).toSize().expandedTo(QSize(1, 1));
    media::View view;
    view.source = from;
    view.rotation = geometry.rotation();
    view.target = view.rotation % 180 == 0 ? media::Size{target.width(), target.height()}
                                           : media::Size{target.height(), target.width()};
    view.smooth = target.width() < closeUpPixelsFrom * upright.width();
    return view;
}

} // namespace ui
