#pragma once
#include "core/media/index/footage.h"
#include "core/timing/line_time.h"

namespace media {

/// Mean luma (0..255) of each row of `region`, in `count` frames from `first` on, or as many as there are; frames in
/// doubt are left out. Rows are those of the native, unturned picture. Precondition: `first` is in the footage, `count`
/// >= 1. Throws core::Error, core::Cancelled.
std::vector<timing::RowProfile> rowProfiles(const std::shared_ptr<const Footage>& footage, const Rect& region,
                                            timing::FrameNumber first, int count, std::stop_token stop = {},
                                            const Progress& progress = {});

inline constexpr int usualProfiles = 16; ///< pictures that a line time is measured in

} // namespace media
