#include "core/timing/missing_frames.h"
#include <algorithm>
#include <iterator>
#include <utility>

namespace timing {

MissingFrames::MissingFrames(std::vector<Gap> gaps) : m_gaps(std::move(gaps))
{
    std::ranges::stable_sort(m_gaps, {}, &Gap::before);
    constexpr std::int64_t most = std::int64_t{1} << 60; // senseless counts from a file must not overflow
    std::int64_t missing = 0;
    for (Gap& gap : m_gaps) {
        missing += std::min(gap.count.value, most - missing);
        gap.count = {missing};
    }
}

FrameCount MissingFrames::upTo(FrameNumber k) const
{
    const auto after = std::ranges::upper_bound(m_gaps, k, {}, &Gap::before);
    return after == m_gaps.begin() ? FrameCount{} : std::prev(after)->count;
}

} // namespace timing
