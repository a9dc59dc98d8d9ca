#include "core/timing/capture_time.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <iterator>

namespace timing {

void CaptureTime::takeUnknown(std::vector<UnknownStretch> unknown)
{
    m_unknown = std::move(unknown);
    std::ranges::stable_sort(m_unknown, {}, &UnknownStretch::first);
    m_reach.clear();
    for (const UnknownStretch& stretch : m_unknown)
        m_reach.push_back(m_reach.empty() ? stretch.last : std::max(m_reach.back(), stretch.last));
}

CaptureTime CaptureTime::even(double rate, FrameCount frames, const std::vector<Gap>& gaps,
                              std::vector<UnknownStretch> unknown)
{
    assert(rate > 0 && std::isfinite(rate) && frames.value >= 1);
    CaptureTime time;
    time.m_frames = frames.value;
    time.m_rate = rate;
    time.m_missing = MissingFrames(gaps);
    time.takeUnknown(std::move(unknown));
    return time;
}

CaptureTime CaptureTime::stamped(const std::vector<double>& stampSeconds, double slowDown, Seconds tick,
                                 std::vector<UnknownStretch> unknown)
{
    assert(!stampSeconds.empty() && slowDown > 0 && std::isfinite(slowDown) && tick.count() >= 0);
    CaptureTime time;
    time.m_frames = std::ssize(stampSeconds);
    time.m_resolution = tick * slowDown;
    time.m_times.reserve(stampSeconds.size());
    for (std::size_t k = 0; k < stampSeconds.size(); ++k) {
        time.m_times.push_back((stampSeconds[k] - stampSeconds[0]) * slowDown);
        if (k == 0)
            continue;
        const FrameNumber here{static_cast<std::int64_t>(k)}, before = here - FrameCount{1};
        if (!std::isfinite(stampSeconds[k]) || !std::isfinite(stampSeconds[k - 1]))
            unknown.push_back({before, here, "a frame there has no stamp"});
        else if (stampSeconds[k] < stampSeconds[k - 1])
            unknown.push_back({before, here, "the stamps run backward there"});
    }
    time.takeUnknown(std::move(unknown));
    return time;
}

Seconds CaptureTime::at(FrameNumber k) const
{
    assert(has(k));
    if (m_rate == 0)
        return Seconds{m_times[k.value]};
    return Seconds{static_cast<double>((k + m_missing.upTo(k)).value) / m_rate};
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
    return m_missing.upTo(b) - m_missing.upTo(a);
}

std::optional<std::string> CaptureTime::unknownBetween(FrameNumber a, FrameNumber b) const
{
    assert(a <= b);
    // The first that ends behind `a`; those after it begin no earlier.
    const auto reach = std::upper_bound(m_reach.begin(), m_reach.end(), a);
    if (reach == m_reach.end())
        return std::nullopt;
    const UnknownStretch& stretch = m_unknown[reach - m_reach.begin()];
    if (stretch.first >= b)
        return std::nullopt;
    return "no time can be told from frame " + std::to_string(stretch.first.value) + " to "
           + std::to_string(stretch.last.value) + ": " + stretch.why;
}

} // namespace timing
