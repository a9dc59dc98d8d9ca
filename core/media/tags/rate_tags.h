#pragma once
#include "core/media/index/footage.h"
#include "core/timing/rate_evidence.h"
#include "core/timing/stamp_pieces.h"
#include "core/timing/tag_reading.h"

namespace media {

/// What metadata says of rates beyond libav's tags, by keys that timing::readTag() knows. Boxes of MP4 and MOV: "smta",
/// user data ("udta"), XMP, slow-motion segments, recorder XML in the file ("meta") or beside it (NAME + "M01.XML");
/// camera unit metadata of MXF. Reads at most a few MB, bounded in every count; what contradicts itself is named under
/// "damaged metadata" and gives nothing else. Never throws.
std::map<std::string, std::string> rateTags(const std::filesystem::path& file);

/// Every entry of the footage's metadata that states a capture rate or could be taken for one, and what it means:
/// libav's tags, rateTags(), and the rate at which the container has it played.
std::vector<timing::TagReading> tagReadings(const Footage& footage);

/// timing::gatherEvidence() from all of the footage's metadata.
std::vector<timing::RateEvidence> rateEvidence(const Footage& footage, const timing::StampPattern& pattern);

/// The pieces of different speed: `pieces` by stamps (stampPiecesOf(), or none), cut further by the file's slow-motion
/// segments. These cut nothing where the stamps tell the capture times themselves (`pattern` of the whole file is
/// evidence): then they are a wish to the player; nor in joined footage, whose parts are asked one by one.
std::vector<timing::StampPiece> capturePieces(const Footage& footage, const timing::StampPattern& pattern,
                                              std::vector<timing::StampPiece> pieces);

} // namespace media
