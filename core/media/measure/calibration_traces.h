#pragma once
#include "core/media/index/footage.h"
#include "core/timing/calibration.h"
#include "core/timing/stamp_pieces.h"

namespace media {

/// Traces of a capture that films a blinking lamp in `lamp`: one decode from first to last. Frames in doubt have no
/// level. Throws core::Error, core::Cancelled.
timing::CalibrationTraces calibrationTraces(const Footage& footage, const Rect& lamp, std::stop_token stop = {},
                                            const Progress& progress = {});

/// One a frame, in seconds.
timing::Stamps stampsOf(const Footage& footage);
/// The stamps' pattern, the pieces of a ramped file, and the frames that stamps and numbering show to be missing.
timing::StampPattern stampPatternOf(const Footage& footage);
std::vector<timing::StampPiece> stampPiecesOf(const Footage& footage);
std::vector<timing::Gap> missingFramesOf(const Footage& footage, const timing::StampPattern& pattern);

} // namespace media
