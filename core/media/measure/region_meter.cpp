#include "core/media/measure/region_meter.h"
#include <algorithm>

namespace media {

RegionMeter::RegionMeter(std::vector<Rect> regions, Comparison comparison)
    : m_regions(std::move(regions)), m_comparison(std::move(comparison)), m_still(m_regions)
{
    std::ranges::sort(m_comparison.references);
}

std::vector<RegionLevels> RegionMeter::measure(timing::FrameNumber n, const Picture& picture)
{
    const std::vector<timing::FrameNumber>& references = m_comparison.references;
    const auto after = std::ranges::upper_bound(references, n);
    if (after == references.begin() || m_reference.frame != *std::prev(after))
        m_reference = {}; // of later frames, or of an earlier press: its own didn't come by
    if (after != references.begin() && *std::prev(after) == n)
        m_reference = {n, picture};
    if (m_previous.frame.value != n.value - 1)
        m_previous = {};

    std::vector<RegionLevels> levels;
    levels.reserve(m_regions.size());
    for (const Rect& region : m_regions) {
        levels.push_back(media::measure(picture, region));
        levels.back().sincePrevious = changeBetween(m_previous.picture, picture, region);
        levels.back().sinceReference = changeBetween(m_reference.picture, picture, region);
    }
    if (m_comparison.blocks && picture) {
        const auto blocks = m_still.measure(n, picture);
        for (std::size_t i = 0; i < levels.size(); ++i)
            levels[i].blocks = blocks[i];
    }
    if (m_comparison.previous)
        m_previous = {n, picture};
    return levels;
}

} // namespace media
