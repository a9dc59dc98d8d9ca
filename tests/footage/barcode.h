#pragma once
#include "tests/footage/frame.h"
#include <cstddef>
#include <cstdint>
#include <optional>

namespace footage {

// 24 equal cells across the bottom edge: white, black, 16 bits of the number (highest first), 6 check bits. A cell is
// at least 13 pixels wide at 320 pixels, so it survives any usable codec. Height: a 20th of the picture, at least 8
// rows.
inline constexpr int barcodeLimit = 65536;

/// Draws `number` (0 <= number < barcodeLimit) into the luma of `frame`; the strip becomes colourless.
void drawBarcode(Frame& frame, int number);

/// Number in the picture, or nothing when sync or check bits don't fit. `luma` is the first row of a luma (or grey, or
/// any RGB channel's) plane; samples of more than 8 bits take two bytes. `pixelStep` in bytes: 0 for planes, 3 for
/// rgb24.
std::optional<int> readBarcode(const std::uint8_t* luma, std::ptrdiff_t stride, int width, int height, int bitDepth,
                               int pixelStep = 0, bool bigEndian = false);

int barcodeHeight(int pictureHeight);

} // namespace footage
