#pragma once
#include "core/timing/delay.h"

namespace timing {

/// Where on a display the reaction is, and how the display draws.
struct ScanOut {
    double height = 0;    ///< of the reaction, 0 (top) to 1 (bottom) of the display's picture
    double refreshHz = 0; ///< measured, > 0
    double refreshU = 0;  ///< relative, standard, >= 0
    /// +- share of the correction, 0 to 1, evenly: blanking makes the true scan-out shorter than a refresh interval,
    /// and a display with a variable refresh draws at its quickest whatever the refresh.
    double tolerance = 0;
};

/// What a common height adds to a delay, and what of it stays unknown.
struct ScanOutEffect {
    Correction correction; ///< add: (common - height) / refresh
    double relativeU = 0;  ///< standard, of `correction.add`; one display's delays share its error
};

/// A display draws from top to bottom once a refresh, so a reaction at `height` shows height/refresh after one at the
/// top: delay -= (height - common) / refresh.
ScanOutEffect toCommonHeight(const ScanOut&, double common);

} // namespace timing
