#pragma once // not public: only core/media may include it
#include "core/media/index/av_handles.h"

namespace media {

/// Decoders say nothing of coded data that ends early or leaves a piece of the picture out: what its memory held before
/// stays there, and with frame threads that depends on their timing. So memory is marked before a picture is decoded
/// into it.

/// Puts a mark into each square of 16 x 16 pixels, the smallest unit in which HEVC, H.264 and MPEG pictures are left
/// out.
void markUnwritten(AVFrame& frame);

/// Whether no mark is left where it is shown. Precondition: its memory was marked.
bool isWritten(const AVFrame& frame);

} // namespace media
