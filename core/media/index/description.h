#pragma once // not public: only core/media may include it
#include "core/media/index/demuxer.h"
#include "core/media/index/footage.h"

namespace media {

/// Everything about the footage that its container tells: names, tags, turn, time base, rates, streams.
void describe(Footage& footage, const Demuxer& demuxer);

/// A stamp of the container in seconds; empty when there is none or it is beyond what can be reckoned with.
std::optional<timing::Rational> secondsOf(std::int64_t stamp, AVRational timeBase);

/// Notes size and pixel format of the picture that becomes the next frame where they differ from those before.
void noteFormat(Footage& footage, const AVFrame& frame);

/// Takes away stamps that the container doesn't have but libav makes up. Call with all frames in their order.
void dropUnfoundedStamps(Footage& footage, const Demuxer& demuxer);

/// Empty unless above 0: how libav says that it doesn't know.
std::optional<timing::Rational> ratioOf(AVRational ratio);

/// Clockwise degrees (0, 90, 180, 270) that libav's 3x3 display matrix asks for; 0 for null and for anything else.
int clockwiseTurn(const std::int32_t* matrix);

} // namespace media
