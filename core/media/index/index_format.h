#pragma once // not public: only core/media may include it
#include "core/media/index/footage.h"

namespace media {

/// The bytes of a confirmed index as a file: head with versions and `fingerprint`, the footage, a checksum over all of
/// it.
std::string writeIndex(const Footage& footage, std::uint64_t fingerprint);

/// Null unless the bytes are whole, of these versions and this fingerprint, and make sense. Survives any bytes.
std::shared_ptr<Footage> readIndex(const std::string& bytes, std::uint64_t fingerprint);

} // namespace media
