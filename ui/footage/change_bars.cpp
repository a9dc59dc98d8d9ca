#include "ui/footage/change_bars.h"

#include <algorithm>

namespace ui {

namespace {

constexpr double leastRange = 2; // of 255

} // namespace

std::optional<double> changeIn(const media::RegionLevels& levels)
{
    if (!levels.sincePrevious)
        return {};
    return std::max(levels.sincePrevious->luma, levels.sincePrevious->chroma);
}

LevelScale changeScale(const media::Trace& trace, int top, int bottom)
{
    std::vector<double> changes;
    changes.reserve(trace.size());
    for (const media::RegionLevels& levels : trace)
        if (const auto change = changeIn(levels))
            changes.push_back(*change);
    if (changes.empty())
        return {0, leastRange, top, bottom};
    // A reaction takes some frames of several hundred: it has to lie within what is drawn in full.
    const auto at = [&](std::size_t place) {
        std::ranges::nth_element(changes, changes.begin() + std::ptrdiff_t(place));
        return changes[place];
    };
    const double low = at(changes.size() / 4), high = at(changes.size() - 1 - changes.size() / 500);
    return {low, std::max(high, low + leastRange), top, bottom};
}

std::vector<QRect> changeBars(const media::Trace& trace, std::int64_t first, std::int64_t last, const LevelScale& scale,
                              const std::function<int(std::int64_t)>& x)
{
    std::vector<QRect> bars;
    for (std::int64_t n = first; n < last;) {
        const int left = x(n);
        double most = scale.low;
        for (; n < last && x(n) == left; ++n)
            most = std::max(most, changeIn(trace[std::size_t(n)]).value_or(scale.low));
        const int top = scale.row(std::min(most, scale.high)), width = std::max(1, x(n) - left);
        if (top < scale.bottom)
            bars.emplace_back(left, top, width > 3 ? width - 1 : width, scale.bottom - top);
    }
    return bars;
}

} // namespace ui
