#include "core/session/capture.h"
#include <algorithm>
#include <cmath>
#include <tuple>

namespace session {

namespace {

/// A frame without a stamp (NaN) is the same as another without one.
bool sameStamps(const std::vector<double>& a, const std::vector<double>& b)
{
    return std::ranges::equal(a, b, [](double x, double y) { return x == y || (std::isnan(x) && std::isnan(y)); });
}

auto allButStamps(const Capture& c)
{
    return std::tie(c.id, c.position, c.name, c.path, c.pictureFolder, c.furtherParts, c.stream, c.sha256, c.frames, c.width,
                    c.height, c.missing, c.unknown, c.notes, c.clock, c.configuration, c.run, c.regions, c.stampTickSeconds);
}

} // namespace

bool operator==(const Capture& a, const Capture& b)
{
    return allButStamps(a) == allButStamps(b) && sameStamps(a.stampSeconds, b.stampSeconds);
}

const Region* findRegion(const Capture& capture, RegionId id)
{
    const auto found = std::ranges::find(capture.regions, id, &Region::id);
    return found == capture.regions.end() ? nullptr : &*found;
}

const Region* firstRegion(const Capture& capture, RegionKind kind)
{
    const auto found = std::ranges::find(capture.regions, kind, &Region::kind);
    return found == capture.regions.end() ? nullptr : &*found;
}

} // namespace session
