#pragma once
#include <vector>

namespace timing {

/// What changed in one cell of a grid laid over the picture, in luma codes scaled to 0..255.
struct CellChange {
    float change = 0; ///< mean absolute difference per sample against the picture before
    float light = 0;  ///< mean difference, with its sign: all that evenly brighter or darker light makes
    float bend = 0;   ///< mean absolute difference of the picture before from the mean of its two neighbours
};

/// How a codec stored a picture. What it leaves out follows from that more than from the camera.
enum class Coding {
    Alone,   ///< without reference to others
    Forward, ///< from earlier pictures
    Between, ///< from earlier and later ones
};

/// How a camera frame differs from the one before.
struct FrameChange {
    bool known = false;     ///< false: no frame before, in doubt, or of another size; nothing else holds then
    bool bendKnown = false; ///< the frame before the last one is known too
    bool identical = false; ///< sample for sample, colours too
    Coding coding = Coding::Alone;
    std::vector<CellChange> cells; ///< row by row of the grid; as many in every frame of a capture that are known
};

} // namespace timing
