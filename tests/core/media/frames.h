#pragma once
#include "core/media/picture/picture.h"
#include <functional>

extern "C" {
#include <libavutil/frame.h>
#include <libavutil/pixdesc.h>
}

/// A picture made by hand: `code(component, x, y)` gives each sample in the format's own codes; chroma x and y count
/// chroma samples. Planar and packed formats of 8 to 16 bits.
media::Picture drawnPicture(AVPixelFormat format, media::Size size,
                            const std::function<int(int component, int x, int y)>& code,
                            const std::function<void(AVFrame&)>& tag = {});
