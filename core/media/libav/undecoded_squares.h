#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"

namespace media {

/// Decoders say nothing of coded data that ends early or leaves a piece of the picture out: what its memory held before
/// stays there, and with frame threads that depends on their timing. So memory is filled before a picture is decoded
/// into it.

/// Fills a few pixels of each square of 16 x 16, the smallest unit in which HEVC, H.264 and MPEG pictures are left out,
/// with what no picture shows by chance.
void prefillSquares(AVFrame& frame);

/// Whether no filling is left where it is shown. Precondition: the memory was filled before decoding.
bool allSquaresDecoded(const AVFrame& frame);

} // namespace media
