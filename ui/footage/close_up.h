#pragma once
#include "core/media/picture/rendition.h"
#include "ui/footage/picture_geometry.h"
#include <QSize>

namespace ui {

/// The region and a little around it, widened to the proportions of the box and moved to lie in the picture; native.
media::Rect closeUpSource(const media::Rect& region, const PictureGeometry& geometry, const QSize& box);

/// That, as large as the box allows, in device pixels.
media::View closeUpView(const media::Rect& region, const PictureGeometry& geometry, const QSize& box, qreal pixelRatio);

} // namespace ui
