#include "core/media/calibration_traces.h"
#include "core/media/trace.h"

#include <algorithm>
#include <limits>

namespace media {
namespace {

constexpr int columns = 8, rows = 6; ///< cells of the picture: coarse enough to be free of noise, fine enough to see things move

std::vector<Rect> cellsOf(const Size& size)
{
    std::vector<Rect> cells;
    if (size.width < 2 * columns || size.height < 2 * rows)
        return cells;
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) {
            const int x = size.width * c / columns, y = size.height * r / rows;
            cells.push_back({x, y, size.width * (c + 1) / columns - x, size.height * (r + 1) / rows - y});
        }
    return cells;
}

std::vector<double> meansOf(const Trace& trace, const Footage& footage)
{
    std::vector<double> means;
    for (const RegionLevels& levels : trace)
        means.push_back(levels.mean);
    for (const Doubt& doubt : footage.doubts)
        for (std::int64_t k = std::max<std::int64_t>(doubt.first.value, 0); k <= doubt.last.value && k < static_cast<std::int64_t>(means.size()); ++k)
            means[static_cast<std::size_t>(k)] = std::numeric_limits<double>::quiet_NaN();
    return means;
}

} // namespace

timing::CalibrationTraces calibrationTraces(const Footage& footage, const Rect& lamp, std::stop_token stop, const Progress& progress)
{
    std::vector<Rect> regions{lamp};
    const std::vector<Rect> cells = cellsOf(footage.size);
    regions.insert(regions.end(), cells.begin(), cells.end());
    const std::vector<Trace> traces = traceRegions(footage, regions, stop, progress, {}, {.previous = false, .references = {}});
    timing::CalibrationTraces result;
    result.lamp = meansOf(traces.front(), footage);
    for (std::size_t i = 1; i < traces.size(); ++i)
        result.cells.push_back(meansOf(traces[i], footage));
    return result;
}

std::vector<std::optional<timing::Rational>> stampsOf(const Footage& footage)
{
    std::vector<std::optional<timing::Rational>> stamps;
    stamps.reserve(footage.frames.size());
    for (const FrameEntry& frame : footage.frames)
        stamps.push_back(frame.stamp);
    return stamps;
}

timing::StampPattern stampPatternOf(const Footage& footage) { return timing::stampPattern(stampsOf(footage), footage.timeBase); }

std::vector<timing::StampPiece> stampPiecesOf(const Footage& footage) { return timing::stampPieces(stampsOf(footage), footage.timeBase); }

std::vector<timing::Gap> missingFramesOf(const Footage& footage, const timing::StampPattern& pattern)
{
    // Pictures of a folder have no stamps of their own, so the two never speak of the same frames.
    if (footage.numberingHoles.empty())
        return pattern.gaps;
    std::vector<timing::Gap> gaps;
    for (const MissingFrames& hole : footage.numberingHoles)
        gaps.push_back({hole.before, hole.count});
    return gaps;
}

} // namespace media
