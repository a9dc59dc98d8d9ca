#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"
#include <cstdint>

namespace media {

/// `count` samples of a component from (x, y) on, in the component's own codes: what av_read_image_line() gives (of
/// palettes the places in them), but by loops that can be vectorised for all layouts with up to two bytes a sample. In
/// the component's own samples, and within them.
void readSamples(std::uint16_t* row, const AVFrame& frame, const AVPixFmtDescriptor& format, int component, int x,
                 int y, int count);

} // namespace media
