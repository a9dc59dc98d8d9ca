#include "ui/footage/stairs.h"

#include <algorithm>
#include <cmath>

namespace ui {

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

} // namespace ui
