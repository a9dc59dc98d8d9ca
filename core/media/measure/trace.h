#pragma once
#include "core/media/index/footage.h"
#include "core/media/measure/movement_meter.h"
#include "core/media/measure/region_meter.h"

namespace media {

/// Brightness and change of one region for each frame, from frame 0 on.
using Trace = std::vector<RegionLevels>;

/// One sequential decode for all regions. `partial` is called every few dozen frames with (first new frame, levels
/// per region for the new frames), on the calling thread. `movement` sees every picture too. Returns one trace per
/// region. Throws core::Error, core::Cancelled.
using PartialTrace = std::function<void(timing::FrameNumber first, const std::vector<Trace>& added)>;
std::vector<Trace> traceRegions(const Footage& footage, const std::vector<Rect>& regions, std::stop_token stop = {},
                                const Progress& progress = {}, const PartialTrace& partial = {},
                                const Comparison& comparison = {}, MovementMeter* movement = nullptr);

} // namespace media
