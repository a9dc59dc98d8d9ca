#include "core/media/cache/prefetch_plan.h"
#include <algorithm>

namespace media {
namespace {

struct Reach {
    std::int64_t before = 0;
    std::int64_t after = 0;
};

Reach reachOf(const PrefetchView& view)
{
    constexpr std::int64_t forwards = 24, backwards = 256, around = 8;
    const std::int64_t room = view.capacity ? *view.capacity * 3 / 4 : forwards; // the rest stays for what lies behind
    switch (view.direction) {
    case 1: return {0, std::min(forwards, room)};
    case -1: return {std::min(backwards, room), 0};
    default: return {std::min(around, room / 2), std::min(around, room / 2)};
    }
}

} // namespace

std::optional<timing::FrameNumber> PrefetchPlan::next(const PrefetchView& view,
                                                      const std::function<bool(timing::FrameNumber)>& isThere)
{
    const Reach reach = reachOf(view);
    const std::int64_t last = std::min(view.cursor + reach.after, view.frameCount - 1);
    for (std::int64_t n = view.cursor + 1; n <= last; ++n)
        if (!isThere({n}))
            return timing::FrameNumber{n};

    const std::int64_t first = std::max(view.cursor - reach.before, std::int64_t{0});
    std::int64_t missing = view.cursor - 1;
    while (missing >= first && isThere({missing}))
        --missing;
    if (missing < first) {
        m_refilling = false;
        return std::nullopt;
    }
    const std::int64_t reserve = view.cursor - 1 - missing;
    m_refilling = m_refilling || view.direction >= 0 || reserve < reach.before / 2;
    return m_refilling ? std::optional(timing::FrameNumber{missing}) : std::nullopt;
}

bool PrefetchPlan::serves(const PrefetchView& view, timing::FrameNumber target)
{
    const Reach reach = reachOf(view);
    return target.value >= view.cursor - reach.before && target.value <= view.cursor + reach.after;
}

} // namespace media
