#pragma once
#include "core/timing/slope_bounds.h"
#include <array>
#include <cstdint>
#include <optional>
#include <vector>

namespace timing {

/// Edges of one light as bars that a line of slope b (frames a flash) has to pass: group 0 On, 1 Off, each with an
/// intercept of its own. Inside core/timing only.
struct EdgeBar {
    int group = 0;
    double n = 0;             ///< flash
    double low = 0, high = 0; ///< frames, missing ones counted in
    double place = 0;         ///< frame of the edge, missing ones counted in
    std::size_t edge = 0;     ///< place in the list of edges
};

struct SlopeRange {
    double lowest = 0, highest = 0;
    double width() const { return highest - lowest; }
};

/// From bar `from` on, `by` frames are added to all places: what it takes to undo a loss.
struct Shift {
    std::size_t from = 0;
    int by = 0;
};

/// How far along the bars one line passes: `held` bars from the first; the slopes it may have.
struct Passage {
    std::size_t held = 0;
    SlopeRange slopes;
    bool isWhole(const std::vector<EdgeBar>& bars) const { return held == bars.size(); }
};
Passage passage(const std::vector<EdgeBar>& bars, const std::vector<Shift>& shifts = {},
                std::optional<std::size_t> without = {});

/// All slopes the bars allow when one frame may have been lost or added, or an outermost edge be wrong, without being
/// noticed.
SlopeRange widenedByOneFault(const std::vector<EdgeBar>& bars, const SlopeRange& plain);

/// What makes all bars pass: bars left out and shifts.
struct Repair {
    std::vector<EdgeBar> bars;  ///< those kept, shifted
    std::vector<EdgeBar> wrong; ///< left out
    struct Break {
        std::size_t edge = 0; ///< first edge behind it
        int by = 0;           ///< > 0: frames lost
    };
    std::vector<Break> breaks;
    bool complete = false; ///< false: neither explains the bars
    SlopeRange slopes;     ///< of all places the breaks may have
};
Repair repaired(const std::vector<EdgeBar>& bars);

} // namespace timing
