#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"
#include "core/media/picture/rendition.h"

namespace media {

enum class Quality {
    Fast,  ///< while moving: libswscale's short cuts, up to about 3 of 255 off
    Exact, ///< accurate rounding, chroma interpolated for every pixel
};

/// `source` of the frame as RGB, scaled to `target`. The frame's own matrix and range decide the colours.
/// Precondition: `source` lies in the picture, both sizes are positive.
RgbImage toRgb(const AVFrame& frame, const Rect& source, Size target, Quality quality);

/// `source` with the margin that converting it takes account of, from where every format's samples begin anew; within
/// the picture.
Rect withSurroundings(const Rect& source, Size picture);

/// What the frame names, or the guess that stands in for it.
AVColorSpace colourSpaceOf(const AVFrame& frame);

RgbImage scaleSmoothly(const RgbImage& image, Size target, Quality quality);

} // namespace media
