#pragma once // FrameService's own
#include "core/timing/units.h"
#include <functional>
#include <optional>

namespace media {

/// Where the analyst looks and what may be decoded ahead of him.
struct PrefetchView {
    std::int64_t cursor = 0;
    int direction = 0; ///< -1, 0, +1
    std::int64_t frameCount = 0;
    std::optional<std::int64_t> capacity; ///< pictures the cache holds, empty while unknown
};

/// Which frame should be in the cache and isn't.
/// Forwards a few frames ahead are enough. Backwards each group of pictures has to be decoded whole, so the reserve is
/// as large as the cache allows, and is filled up only when half of it is used: each refill costs a group.
class PrefetchPlan {
public:
    /// The next frame to decode; empty when enough is there.
    std::optional<timing::FrameNumber> next(const PrefetchView& view,
                                            const std::function<bool(timing::FrameNumber)>& isThere);

    /// Whether decoding towards this frame still makes sense.
    static bool serves(const PrefetchView& view, timing::FrameNumber target);

private:
    bool m_refilling = false;
};

} // namespace media
