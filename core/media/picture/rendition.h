#pragma once
#include "core/media/picture/picture.h"
#include <filesystem>

namespace media {

/// 8-bit RGB, rows top to bottom without padding: pixels.size() == 3 * width * height.
struct RgbImage {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> pixels;
};

/// What part of a picture is to be shown, how large and how bright.
struct View {
    Rect source;      ///< native pixels; clipped to the picture; an empty rectangle means the whole picture
    Size target;      ///< size of the result before turning; an empty size means the source's own
    int rotation = 0; ///< clockwise quarter turns in degrees for display: 0, 90, 180, 270
    double gain = 1;  ///< brightness factor on the displayed RGB, >= 0
    double gamma = 1; ///< > 1 lifts dark parts
    /// Every part of what is shown spread over the whole scale, so that what is faint stands out; brightness then tells
    /// nothing.
    bool localContrast = false;
    bool smooth = true; ///< false: nearest neighbour, for looking at single pixels
    bool exact = true;  ///< false: fast conversion while moving (error up to about 3 of 255)
};

/// RGB with the picture's own matrix and range (untagged: BT.601 below 720 lines, BT.709 from there).
RgbImage render(const Picture& picture, const View& view);

/// `image` as a part of a rendition: scaled to `target`, then turned by `rotation`, as View's. Precondition: not empty.
RgbImage fitted(const RgbImage& image, Size target, int rotation, bool smooth);

/// Lossless PNG bytes.
std::vector<std::uint8_t> encodePng(const RgbImage& image);

/// Region rendered exactly and cut about its centre to at most `maxPixels`: the evidence kept with a mark.
RgbImage evidenceCrop(const Picture& picture, const Rect& region, int maxPixels = 4096);

} // namespace media
