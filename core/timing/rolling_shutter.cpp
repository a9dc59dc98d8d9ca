#include "core/timing/rolling_shutter.h"

#include <cassert>
#include <cmath>

namespace timing {

ShutterEffect knownLineTime(const LineTime& lineTime, double rowsDown)
{
    assert(lineTime.aRow.count() > 0 && lineTime.standardUncertainty.count() >= 0);
    const double limit = std::sqrt(3.0) * lineTime.standardUncertainty.count();
    if (lineTime.order == ReadoutOrder::Unknown) {
        // Two values of equal chance: their standard deviation is the value itself.
        const double aRow = lineTime.aRow.count();
        return {{Milliseconds{0}, Milliseconds{std::abs(rowsDown) * (aRow + limit)}},
                std::hypot(aRow, lineTime.standardUncertainty.count()),
                rowsDown};
    }
    const double rows = lineTime.order == ReadoutOrder::FirstRowFirst ? rowsDown : -rowsDown;
    return {{rows * lineTime.aRow, Milliseconds{std::abs(rows) * limit}}, lineTime.standardUncertainty.count(), rows};
}

ShutterEffect unknownLineTime(Milliseconds interval, int height, double rowsDown)
{
    assert(interval.count() > 0 && height >= 1);
    const double most = interval.count() / height;
    return {{Milliseconds{0}, Milliseconds{std::abs(rowsDown) * most}}, most / std::sqrt(3.0), rowsDown};
}

} // namespace timing
