#include "core/timing/capture_time.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <iterator>

namespace timing {
namespace {

constexpr std::int64_t mostMissing = std::int64_t{1} << 60;

void sortByPlace(std::vector<UnknownStretch>& unknown)
{
    std::stable_sort(unknown.begin(), unknown.end(),
                     [](const UnknownStretch& a, const UnknownStretch& b) { return a.first < b.first; });
}

} // namespace

CaptureTime CaptureTime::even(double rate, FrameCount frames, const std::vector<Gap>& gaps,
                              std::vector<UnknownStretch> unknown)
{
    assert(rate > 0 && std::isfinite(rate) && frames.value >= 1);
    CaptureTime time;
    time.m_frames = frames.value;
    time.m_rate = rate;
    time.m_gaps = gaps;
    std::stable_sort(time.m_gaps.begin(), time.m_gaps.end(),
                     [](const Gap& a, const Gap& b) { return a.before < b.before; });
    std::int64_t missing = 0;
    for (Gap& gap : time.m_gaps) {
        missing += std::min(gap.count, mostMissing - missing); // senseless counts from a file must not overflow
        gap.count = missing;
    }
    time.m_unknown = std::move(unknown);
    sortByPlace(time.m_unknown);
    return time;
}

CaptureTime CaptureTime::stamped(const std::vector<double>& stampSeconds, double slowDown, Seconds tick,
                                 std::vector<UnknownStretch> unknown)
{
    assert(!stampSeconds.empty() && slowDown > 0 && std::isfinite(slowDown) && tick.count() >= 0);
    CaptureTime time;
    time.m_frames = static_cast<std::int64_t>(stampSeconds.size());
    time.m_unknown = std::move(unknown);
    time.m_resolution = tick * slowDown;
    time.m_times.reserve(stampSeconds.size());
    for (std::size_t k = 0; k < stampSeconds.size(); ++k) {
        time.m_times.push_back((stampSeconds[k] - stampSeconds[0]) * slowDown);
        if (k == 0)
            continue;
        const FrameNumber here{static_cast<std::int64_t>(k)}, before = here - FrameCount{1};
        if (!std::isfinite(stampSeconds[k]) || !std::isfinite(stampSeconds[k - 1]))
            time.m_unknown.push_back({before, here, "a frame there has no stamp"});
        else if (stampSeconds[k] < stampSeconds[k - 1])
            time.m_unknown.push_back({before, here, "the stamps run backward there"});
    }
    sortByPlace(time.m_unknown);
    return time;
}

std::int64_t CaptureTime::missingUpTo(FrameNumber k) const
{
    const auto after = std::upper_bound(m_gaps.begin(), m_gaps.end(), k,
                                        [](FrameNumber frame, const Gap& gap) { return frame < gap.before; });
    return after == m_gaps.begin() ? 0 : std::prev(after)->count;
}

Seconds CaptureTime::at(FrameNumber k) const
{
    assert(has(k));
    if (m_rate == 0)
        return Seconds{m_times[static_cast<std::size_t>(k.value)]};
    return Seconds{static_cast<double>(k.value + missingUpTo(k)) / m_rate};
}

std::optional<Seconds> CaptureTime::intervalBefore(FrameNumber k) const
{
    assert(has(k));
    if (k.value == 0)
        return std::nullopt;
    return at(k) - at(k - FrameCount{1});
}

FrameCount CaptureTime::missingBetween(FrameNumber a, FrameNumber b) const
{
    assert(a <= b);
    return {missingUpTo(b) - missingUpTo(a)};
}

std::optional<std::string> CaptureTime::unknownBetween(FrameNumber a, FrameNumber b) const
{
    assert(a <= b);
    for (const UnknownStretch& stretch : m_unknown)
        if (stretch.first < b && stretch.last > a)
            return "no time can be told from frame " + std::to_string(stretch.first.value) + " to "
                   + std::to_string(stretch.last.value) + ": " + stretch.why;
    return std::nullopt;
}

} // namespace timing
