#pragma once
#include "core/media/picture/picture.h"

namespace media {

/// The native samples that one pixel shows, in the codes of the file.
struct PixelValue {
    std::vector<int> codes; ///< Y, or Y, Cb and Cr, or red, green and blue
    bool rgb = false;
    int depth = 8; ///< bits of a code
};
/// Empty outside the picture, without one, and of formats whose samples can't be read.
std::optional<PixelValue> pixelAt(const Picture& picture, int x, int y);

} // namespace media
