#include "core/media/measure/row_profiles.h"
#include "core/media/decode/frame_reader.h"

#include <algorithm>

namespace media {

std::vector<timing::RowProfile> rowProfiles(const std::shared_ptr<const Footage>& footage, const Rect& region,
                                            timing::FrameNumber first, int count, std::stop_token stop,
                                            const Progress& progress)
{
    const auto inDoubt = [&](timing::FrameNumber frame) {
        return std::ranges::any_of(footage->doubts,
                                   [&](const Doubt& doubt) { return doubt.first <= frame && frame <= doubt.last; });
    };
    FrameReader reader(footage);
    std::vector<timing::RowProfile> profiles;
    const std::int64_t end = std::min(first.value + count, footage->frameCount().value);
    for (timing::FrameNumber frame = first; frame.value < end; frame.value += 1) {
        if (inDoubt(frame))
            continue;
        const Picture picture = reader.read(frame, stop);
        timing::RowProfile profile{frame, {}};
        for (int y = region.y; y < region.y + region.height; ++y)
            profile.levels.push_back(measure(picture, {region.x, y, region.width, 1}).mean);
        profiles.push_back(std::move(profile));
        if (progress)
            progress(frame.value - first.value + 1, end - first.value);
    }
    return profiles;
}

} // namespace media
