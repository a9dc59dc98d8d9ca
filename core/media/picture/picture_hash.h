#pragma once // not public: only core/media may include it
#include <cstdint>

struct AVFrame;

namespace media {

/// Hash of format, size and the bytes of every plane, whatever the padding between rows. Not cryptographic.
std::uint64_t hashOf(const AVFrame& frame);

} // namespace media
