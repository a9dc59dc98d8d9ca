#include "core/timing/scan_out.h"

#include <cassert>
#include <cmath>

namespace timing {

ScanOutEffect toCommonHeight(const ScanOut& display, double common)
{
    assert(display.refreshHz > 0 && display.refreshU >= 0 && display.tolerance >= 0);
    const Milliseconds add{(common - display.height) * 1000 / display.refreshHz};
    const double root3 = std::sqrt(3.0);
    const double widest = display.tolerance + root3 * display.refreshU;
    return {{add, Milliseconds{std::abs(add.count()) * widest}},
            std::hypot(display.tolerance / root3, display.refreshU)};
}

} // namespace timing
