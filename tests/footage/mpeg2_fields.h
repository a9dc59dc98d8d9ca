#pragma once
#include <string>
#include <vector>

namespace footage {

/// A bare MPEG-2 stream in which each of the two fields of a picture is coded by itself, as no encoder at hand does:
/// two coded pictures a frame. Blocks of 8x8 samples of a field carry their mean only. Each group begins with a picture
/// that stands alone; the others are coded as building on it, though none of their blocks does. `pictures`: I420 planes
/// in a row, `width` a multiple of 16, `height` of 32 and at most 2,400.
std::string mpeg2FieldPictures(const std::vector<std::string>& pictures, int width, int height, int group);

} // namespace footage
