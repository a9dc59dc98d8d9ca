#pragma once
#include "core/media/measure/trace.h"
#include <algorithm>
#include <vector>

namespace reading {

struct Frames {
    std::int64_t from = 0, to = 0; ///< end excluded
};

/// Values of many places, frame by frame, from `first` on.
struct Series {
    int columns = 0, rows = 0, layers = 1;
    std::int64_t first = 0;
    std::size_t places = 0;
    float leastNoise = 0; ///< levels, of a place that seems to have none
    std::vector<float> values;

    std::int64_t end() const { return first + std::int64_t(places ? values.size() / places : 0); }
    const float* at(std::int64_t frame) const { return values.data() + std::size_t(frame - first) * places; }
    float* at(std::int64_t frame) { return values.data() + std::size_t(frame - first) * places; }
    /// Calls `use` with `place` and each of its layer that lies within `reach` of it.
    template <class Use> void around(std::size_t place, int reach, const Use& use) const
    {
        const auto count = std::size_t(columns) * std::size_t(rows);
        const int x = int(place % count) % columns, y = int(place % count) / columns;
        for (int v = std::max(0, y - reach); v <= std::min(rows - 1, y + reach); ++v)
            for (int u = std::max(0, x - reach); u <= std::min(columns - 1, x + reach); ++u)
                use(place / count * count + std::size_t(v * columns + u));
    }
};

/// Of every place. Precondition: `from` < `to`, both of the series.
std::vector<float> meanOf(const Series& s, std::int64_t from, std::int64_t to);
/// Reorders `values`; not empty.
float medianOf(std::vector<float>& values);

/// The screen's blocks and what all of them share.
struct ScreenSeries {
    Series luma, colour;
    std::vector<bool> alone; ///< of the frames: stored by themselves
    Series plain;            ///< luma as it is, where `luma` follows the busy places
    Series common;           ///< one place: brightness that the room's light doesn't explain, in levels
};

/// Frames from `first` to `end`, as far as they are alike. What all blocks share - ripple, exposure, flicker - is taken
/// out of `luma` and `plain` by the median of their ratios to what they are from `first` to `press`.
ScreenSeries seriesOf(const media::Trace& screen, std::int64_t first, std::int64_t press, std::int64_t end);

} // namespace reading
