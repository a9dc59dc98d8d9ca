#pragma once
#include "core/media/picture/picture.h"
#include <QPointF>
#include <QRectF>
#include <QSizeF>

namespace ui {

/// How a native picture stands upright: turned clockwise, its pixels stretched to squares. Points are in pixels, whole
/// numbers at pixel corners. Three frames of reference: native, turned (native pixels, upright), upright (stretched).
class PictureGeometry {
public:
    PictureGeometry() = default;
    /// `rotation` clockwise: 0, 90, 180, 270; `pixelAspect` width to height of a native pixel, > 0. The longer side of
    /// a pixel is the unit: nothing is shrunk.
    PictureGeometry(media::Size native, int rotation, double pixelAspect);

    bool isEmpty() const { return m_native.width <= 0 || m_native.height <= 0; }
    media::Size native() const { return m_native; }
    int rotation() const { return m_rotation; }
    media::Size turnedSize() const;
    QSizeF uprightSize() const;

    QPointF toTurned(QPointF native) const;
    QPointF fromTurned(QPointF turned) const;
    media::Rect toTurned(const media::Rect& native) const;
    media::Rect fromTurned(const media::Rect& turned) const;
    QPointF toUpright(QPointF native) const;
    QPointF fromUpright(QPointF upright) const;
    bool operator==(const PictureGeometry&) const = default;
    QSizeF stretch() const; ///< upright units a turned pixel is wide and high

private:
    PictureGeometry turnedBack() const;

    media::Size m_native;
    int m_rotation = 0;
    double m_aspect = 1;
};

/// Where a picture lies in a view. `scale` is view units an upright unit, `centre` the upright point in the view's
/// middle.
struct ViewMapping {
    PictureGeometry picture;
    QSizeF view;
    double scale = 1;
    QPointF centre;

    QPointF toView(QPointF native) const;
    QPointF toNative(QPointF inView) const;
    QRectF toView(const media::Rect& native) const;
    /// Whole native pixels that cover what is visible; empty when nothing is.
    media::Rect visible() const;
    /// Keeps the picture in view: centred along an axis where all of it fits, else no edge moves inside the view's.
    void clampCentre();
    double fitScale() const; ///< at which all of it just fits
};

} // namespace ui
