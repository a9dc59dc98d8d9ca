#pragma once
#include "core/timing/units.h"
#include <string>
#include <vector>

namespace timing {

enum class EdgeKind { On, Off };

/// A light changed between two frames. In frames, the change falls after `before` - `early` and not after `frame` +
/// `late`, both counted from the same instant within a frame.
struct LampEdge {
    FrameNumber before; ///< last frame recorded in the old state
    FrameNumber frame;  ///< first frame that shows the new state
    EdgeKind kind = EdgeKind::On;
    double early = 0;      ///< frames, 0..2: how far noise may hide that the change shows earlier
    double late = 0;       ///< frames, 0..2: how far noise may feign that it shows already
    double confidence = 1; ///< 1: no doubt which frame; 0: a whole frame of doubt or more
    bool operator==(const LampEdge&) const = default;
};

/// What a region's trace shows of a lamp that goes on and off.
struct LampTrace {
    std::vector<LampEdge> edges; ///< ascending; empty where `problem` says why
    double dark = 0, lit = 0;    ///< levels of the two states, as the trace has them
    double noise = 0;            ///< standard deviation of a state's levels, same unit
    std::string problem;         ///< one sentence, else empty
};

/// Proposes edges: the analyst's eye confirms them. `levels` one a frame, not finite where a picture couldn't be read.
/// A frame shows a state when it has more than half of the change; where its level lies within four times the noise of
/// that half, the edge gets doubt. Light that a slow exposure or a rolling shutter spreads over up to two frames is
/// allowed for. Slow changes of exposure are followed.
LampTrace findLampEdges(const std::vector<double>& levels);

} // namespace timing
