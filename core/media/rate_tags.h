#pragma once
#include "core/media/footage.h"
#include "core/timing/rate_evidence.h"

namespace media {

/// What metadata says of the capture rate beyond libav's tags, by keys that timing::gatherEvidence() knows: boxes of MP4 and MOV
/// ("smta"), recorder XML in the file ("meta") or beside it (NAME + "M01.XML"), camera sets of MXF. Reads at most a few MB, bounded in
/// every count; bytes that make no sense give nothing. Never throws.
std::map<std::string, std::string> rateTags(const std::filesystem::path& file);

/// timing::gatherEvidence() from all of the footage's metadata.
std::vector<timing::RateEvidence> rateEvidence(const Footage& footage, const timing::StampPattern& pattern);

} // namespace media
