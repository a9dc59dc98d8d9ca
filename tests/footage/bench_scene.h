#pragma once
#include "tests/footage/canvas.h"
#include "tests/footage/truth.h"
#include <vector>

namespace footage {

/// Pixel whose light is base + level * added.
struct LitPixel {
    int x, y;
    Colour base, added;
    double screenRow; ///< 0 top .. 1 bottom of the drawn screen; 0 for the lamp
    double depth;     ///< road pixels: distance ahead in dash lengths, else 0
    double footprint; ///< road pixels: what one pixel spans of that distance
};

/// The bench drawn once; per frame only lamp, panel and road dashes change, and no pixel is in two of these lists.
struct BenchScene {
    std::vector<Colour> still;                       ///< lamp out, panel at rest, no dashes; row by row
    std::vector<LitPixel> lamp, panel, road, mirror; ///< mirror: the panel on the small screen, where there is one
    Rect lampRegion, screenRegion, mirrorRegion;
    double panelTop = 0; ///< screen row at which the panel begins
};

BenchScene drawBench(const View& view, const SceneSpec& scene);

} // namespace footage
