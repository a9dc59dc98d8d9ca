#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"
#include <cstdint>
#include <vector>

namespace media {

/// One component of a picture in its own samples.
struct Component {
    const AVFrame* frame = nullptr;
    const AVPixFmtDescriptor* format = nullptr;
    int index = 0;
    int width = 0, height = 0;
    int shiftX = 0, shiftY = 0; ///< log2 of a sample's size in pixels
    double black = 0;           ///< code
    double scale = 1;           ///< levels of 255 a code

    /// Row `y`, `width` samples.
    void read(std::vector<std::uint16_t>& row, int y) const;
    /// The same as it lies in the picture; null where a sample isn't a byte of its own.
    const std::uint8_t* bytes(int y) const;
};

/// Null where samples can't be read.
const AVPixFmtDescriptor* readableFormat(const AVFrame& frame);
/// Of `format`'s components the one with that index; of YCbCr 0 is luma.
Component componentOf(const AVFrame& frame, const AVPixFmtDescriptor& format, int index);

/// `count` samples of a component from (x, y) on, in the component's own codes: what av_read_image_line() gives (of
/// palettes the places in them), but by loops that can be vectorised for all layouts with up to two bytes a sample. In
/// the component's own samples, and within them.
void readSamples(std::uint16_t* row, const AVFrame& frame, const AVPixFmtDescriptor& format, int component, int x,
                 int y, int count);

} // namespace media
