#include "core/analysis/capture_clock.h"
#include "core/analysis/phrases.h"
#include "core/session/place.h"

namespace analysis {
namespace {

/// No camera works outside; a session file may say anything, and figures beyond these lose their meaning.
constexpr double lowestRate = 1e-3;
constexpr double highestRate = 1e9;

std::vector<timing::UnknownStretch> unknownStretches(const session::Capture& capture, bool stamped)
{
    std::vector<timing::UnknownStretch> unknown;
    for (const session::UnknownStretch& stretch : capture.unknown)
        if (!stamped || !stretch.stampsTell)
            unknown.push_back({stretch.first, stretch.last, stretch.why});
    for (const session::Piece& piece : capture.pieces)
        if (piece.firstFrame.value > 0)
            unknown.push_back(
                {piece.firstFrame - timing::FrameCount{1}, piece.firstFrame, "another piece begins there"});
    return unknown;
}

} // namespace

std::optional<std::string> acrossPieces(const session::Capture& capture, timing::FrameNumber press,
                                        timing::FrameNumber response)
{
    const std::optional<timing::FrameNumber> boundary =
        session::boundaryBetween(capture, press - timing::FrameCount{1}, response);
    if (!boundary)
        return std::nullopt;
    const std::string frame = std::to_string(boundary->value);
    const session::Piece &piece = *pieceAt(capture, *boundary),
                         &before = *pieceAt(capture, *boundary - timing::FrameCount{1});
    const std::string why = piece.slowedBy != before.slowedBy ? "the file's slow-motion tag asks for another speed"
                            : piece.fromStamps                ? "the stamps begin to step otherwise"
                                                              : "another speed begins";
    return (*boundary == press ? "The press is marked in frame " + frame + ", where " + why
                                     + ", so that nothing shows how long before it the frame before was taken"
                               : "At frame " + frame + ", between the frame before the press and the response, " + why
                                     + ", and no clock holds across it")
           + "; if the camera ran evenly there, take that boundary out on the clock page.";
}

timing::FrameNumber pressFrame(const session::Trial& trial)
{
    return session::pressOf(trial).value_or(timing::FrameNumber{});
}

CaptureClock captureClock(const session::Document& document, const session::Capture& capture, timing::FrameNumber frame)
{
    CaptureClock result;
    result.missing = timing::MissingFrames(capture.missing);
    result.clock = find(document, clockAt(capture, frame));
    result.settled = result.clock ? settledEvidence(*result.clock) : nullptr;
    if (!result.settled)
        return result;
    const double rate = result.settled->rate.rate;
    if (rate < lowestRate || rate > highestRate) {
        result.problem = "Clock " + session::inQuotes(result.clock->name) + " is settled on " + plain(rate)
                         + " camera frames a second, which no camera has; declare another rate.";
    } else if (!result.clock->stamped) {
        result.time =
            timing::CaptureTime::even(rate, capture.frames, capture.missing, unknownStretches(capture, false));
    } else if (std::ssize(capture.stampSeconds) != capture.frames.value) {
        result.problem = "Clock " + session::inQuotes(result.clock->name)
                         + " reads time from stamps, but the session holds none for capture "
                         + session::inQuotes(capture.name)
                         + "; add the footage again or read time from the capture rate.";
    } else {
        result.time =
            timing::CaptureTime::stamped(capture.stampSeconds, result.clock->slowDown,
                                         timing::Seconds{capture.stampTickSeconds}, unknownStretches(capture, true));
    }
    return result;
}

} // namespace analysis
