#include "core/media/measure/calibration_traces.h"
#include "core/media/measure/trace.h"

#include <algorithm>
#include <limits>

namespace media {
namespace {

std::vector<double> meansOf(const Trace& trace, const Footage& footage)
{
    std::vector<double> means;
    for (const RegionLevels& levels : trace)
        means.push_back(levels.mean);
    for (const Doubt& doubt : footage.doubts)
        for (std::int64_t k = std::max<std::int64_t>(doubt.first.value, 0);
             k <= doubt.last.value && k < std::ssize(means); ++k)
            means[k] = std::numeric_limits<double>::quiet_NaN();
    return means;
}

} // namespace

timing::CalibrationTraces calibrationTraces(const Footage& footage, const Rect& lamp, std::stop_token stop,
                                            const Progress& progress)
{
    MovementMeter movement;
    const std::vector<Trace> traces =
        traceRegions(footage, {lamp}, stop, progress, {}, {.previous = false, .blocks = false}, &movement);
    timing::CalibrationTraces result;
    result.lamp = meansOf(traces.front(), footage);
    result.changes = movement.take(footage);
    return result;
}

timing::Stamps stampsOf(const Footage& footage)
{
    timing::Stamps stamps;
    stamps.reserve(footage.frames.size());
    for (const FrameEntry& frame : footage.frames)
        stamps.push_back(frame.stamp);
    return stamps;
}

timing::StampPattern stampPatternOf(const Footage& footage)
{
    return timing::stampPattern(stampsOf(footage), footage.timeBase);
}

std::vector<timing::StampPiece> stampPiecesOf(const Footage& footage)
{
    return timing::stampPieces(stampsOf(footage), footage.timeBase);
}

std::vector<timing::Gap> missingFramesOf(const Footage& footage, const timing::StampPattern& pattern)
{
    // Pictures of a folder have no stamps of their own, so the two never speak of the same frames.
    return footage.numberingHoles.empty() ? pattern.gaps : footage.numberingHoles;
}

} // namespace media
