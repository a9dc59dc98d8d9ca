#pragma once // not public: only core/media may include it
#include <cstdint>

namespace media {

/// Clockwise degrees (0, 90, 180, 270) that libav's 3x3 display matrix asks for; 0 for null and for anything else.
int clockwiseTurn(const std::int32_t* matrix);

} // namespace media
