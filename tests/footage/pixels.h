#pragma once
#include "tests/footage/av.h"
#include "tests/footage/frame.h"
#include "tests/footage/spec.h"

namespace footage {

/// Writes `frame` into `out`, whose buffers and format are set: any grey, YUV or RGB format of 8 to 16 bits a sample.
/// Chroma is the mean of the pixels it covers. `matrix` is the one `frame` was made with.
void convert(const Frame& frame, AVFrame& out, bool fullRange, Matrix matrix);

/// Throws std::runtime_error for a name libav doesn't know or a format `convert` can't write.
AVPixelFormat pixelFormat(const std::string& name);

} // namespace footage
