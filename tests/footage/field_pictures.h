#pragma once
#include <string>
#include <vector>

namespace footage {

/// A bare H.264 stream in which each of the two fields of a picture is coded by itself, as no encoder at hand does: two
/// coded pictures a frame. Each group begins with a field that stands alone; in the others the upper two thirds are
/// taken from the picture before and the rest is stored sample by sample. `pictures`: I420 planes in a row, `width` and
/// `height` multiples of 16 and 32.
std::string fieldPictures(const std::vector<std::string>& pictures, int width, int height, int group);

} // namespace footage
