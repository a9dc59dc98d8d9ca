#include "ui/footage/stairs.h"

#include <algorithm>
#include <cmath>

namespace ui {

namespace {

constexpr double leastChange = 2; // of 255

} // namespace

int LevelScale::row(double level) const
{
    if (high <= low)
        return bottom;
    return bottom - int(std::lround((level - low) / (high - low) * (bottom - top)));
}

std::vector<QRect> stairs(const media::Trace& trace, std::int64_t first, std::int64_t last, const LevelScale& scale,
                          const std::function<int(std::int64_t)>& x, int thickness)
{
    std::vector<QRect> rects;
    int previousTop = 0, previousBottom = 0;
    for (std::int64_t n = first; n < last;) {
        const int left = x(n);
        double least = trace[std::size_t(n)].mean, most = least;
        std::int64_t next = n + 1;
        for (; next < last && x(next) == left; ++next) {
            least = std::min(least, trace[std::size_t(next)].mean);
            most = std::max(most, trace[std::size_t(next)].mean);
        }
        const int right = std::max(left + 1, x(next));
        const int top = scale.row(most), bottom = scale.row(least);
        if (!rects.empty() && (previousBottom < top || previousTop > bottom)) {
            const int from = std::min(previousTop, top), to = std::max(previousBottom, bottom);
            rects.emplace_back(left, from, std::min(thickness, right - left), to - from + thickness);
        }
        rects.emplace_back(left, top, right - left, bottom - top + thickness);
        previousTop = top;
        previousBottom = bottom;
        n = next;
    }
    return rects;
}

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
        return {0, leastChange, top, bottom};
    // A reaction takes some frames of several hundred: it has to lie within what is drawn in full.
    const auto at = [&](std::size_t place) {
        std::ranges::nth_element(changes, changes.begin() + std::ptrdiff_t(place));
        return changes[place];
    };
    const double low = at(changes.size() / 4), high = at(changes.size() - 1 - changes.size() / 500);
    return {low, std::max(high, low + leastChange), top, bottom};
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
