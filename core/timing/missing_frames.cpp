#include "core/timing/missing_frames.h"
#include <algorithm>
#include <iterator>
#include <utility>

namespace timing {

MissingFrames::MissingFrames(std::vector<Gap> gaps) : m_gaps(std::move(gaps))
{
    std::stable_sort(m_gaps.begin(), m_gaps.end(), [](const Gap& a, const Gap& b) { return a.before < b.before; });
    constexpr std::int64_t most = std::int64_t{1} << 60; // senseless counts from a file must not overflow
    std::int64_t missing = 0;
    for (Gap& gap : m_gaps) {
        missing += std::min(gap.count.value, most - missing);
        gap.count = {missing};
    }
}

FrameCount MissingFrames::upTo(FrameNumber k) const
{
    const auto after = std::upper_bound(m_gaps.begin(), m_gaps.end(), k,
                                        [](FrameNumber frame, const Gap& gap) { return frame < gap.before; });
    return after == m_gaps.begin() ? FrameCount{} : std::prev(after)->count;
}

} // namespace timing
