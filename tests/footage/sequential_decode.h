#pragma once
#include "tests/footage/av.h"
#include "tests/footage/truth.h"
#include <filesystem>
#include <functional>

namespace footage {

/// Plain decoding from first to last on one thread: what every cleverer access must agree with.
/// `visit` sees each picture in the order the decoder gives them. Throws std::runtime_error when the file won't open.
/// `wanted`: stream of the container, -1 for libav's choice.
void decodeFile(const std::filesystem::path& path, const std::function<void(const AVFrame&)>& visit, int wanted = -1);

/// Number in the picture's barcode, whatever its pixel format.
std::optional<int> barcodeOf(const AVFrame& frame);

/// Mean of the first component within `region`, in parts of its full code range.
double regionMean(const AVFrame& frame, const Rect& region);

} // namespace footage
