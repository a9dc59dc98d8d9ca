#include "core/session/capture.h"
#include "core/timing/stamp_pieces.h"
#include <algorithm>
#include <cmath>
#include <iterator>
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
    return std::tie(c.id, c.position, c.name, c.path, c.pictureFolder, c.furtherParts, c.stream, c.sha256, c.frames,
                    c.width, c.height, c.missing, c.unknown, c.rateTags, c.stored, c.notes, c.clock, c.pictures,
                    c.presses, c.noPresses, c.pieces, c.lampReference, c.configuration, c.run, c.regions,
                    c.stampTickSeconds);
}

} // namespace

bool operator==(const Capture& a, const Capture& b)
{
    return allButStamps(a) == allButStamps(b) && sameStamps(a.stampSeconds, b.stampSeconds);
}

const Piece* pieceAt(const Capture& capture, timing::FrameNumber frame)
{
    const auto after = std::ranges::upper_bound(capture.pieces, frame, {}, &Piece::firstFrame);
    return after == capture.pieces.begin() ? nullptr : &*std::prev(after);
}

timing::FrameNumber lastFrame(const Capture& capture) { return {capture.frames.value - 1}; }

timing::FrameNumber lastFrame(const Capture& capture, const Piece& piece)
{
    const auto next = std::ranges::upper_bound(capture.pieces, piece.firstFrame, {}, &Piece::firstFrame);
    return next == capture.pieces.end() ? lastFrame(capture) : next->firstFrame - timing::FrameCount{1};
}

bool sameKind(const Piece& a, const Piece& b)
{
    return a.slowedBy == b.slowedBy && timing::sameStep(a.stepSeconds, b.stepSeconds);
}

ClockId clockAt(const Capture& capture, timing::FrameNumber frame)
{
    const Piece* piece = pieceAt(capture, frame);
    return piece ? piece->clock : capture.clock;
}

bool runsOn(const Capture& capture, ClockId clock)
{
    return capture.pieces.empty()
               ? capture.clock == clock
               : std::ranges::any_of(capture.pieces, [&](const Piece& piece) { return piece.clock == clock; });
}

std::vector<ClockId> clocksOf(const Capture& capture)
{
    std::vector<ClockId> clocks;
    const auto add = [&](ClockId clock) {
        if (clock && std::ranges::find(clocks, clock) == clocks.end())
            clocks.push_back(clock);
    };
    if (capture.pieces.empty())
        add(capture.clock);
    for (const Piece& piece : capture.pieces)
        add(piece.clock);
    return clocks;
}

std::optional<timing::FrameNumber> boundaryBetween(const Capture& capture, timing::FrameNumber from,
                                                   timing::FrameNumber to)
{
    const auto next = std::ranges::upper_bound(capture.pieces, from, {}, &Piece::firstFrame);
    return next == capture.pieces.end() || next->firstFrame > to ? std::nullopt : std::optional(next->firstFrame);
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
