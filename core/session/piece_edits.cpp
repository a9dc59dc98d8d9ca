#include "core/session/edit_steps.h"
#include "core/timing/stamp_pieces.h"
#include <algorithm>

namespace session {

namespace {

/// Work went into it, so it may serve again: settled, or calibrated, or typed in.
bool isWorthKeeping(const Clock& clock)
{
    return clock.settled || std::ranges::any_of(clock.evidence, [](const ClockEvidence& evidence) {
               return evidence.rate.origin == timing::Origin::Reference
                      || evidence.rate.origin == timing::Origin::Declared;
           });
}

std::string fromFrame(const Capture& capture, timing::FrameNumber frame)
{
    return capture.name + ", from frame " + std::to_string(frame.value);
}

Piece& needPiece(Capture& capture, timing::FrameNumber frame)
{
    const auto found = std::ranges::find(capture.pieces, frame, &Piece::firstFrame);
    if (found == capture.pieces.end())
        refuse("no piece of " + named(capture) + " begins at frame " + std::to_string(frame.value));
    return *found;
}

ClockId putNewClock(EditBuilder& builder, const std::string& name)
{
    const Clock clock = newClock(builder, name);
    builder.put(clock);
    return clock.id;
}

/// Puts the changed capture, and takes out clocks that `before` ran on and nothing does now.
Edit finish(EditBuilder&& builder, Capture capture, const std::vector<ClockId>& before)
{
    keepPieceRules(capture);
    builder.put(capture);
    for (const ClockId clock : before)
        dropIdleClock(builder, clock);
    return std::move(builder).finish();
}

} // namespace

void dropIdleClock(EditBuilder& builder, ClockId id)
{
    const Clock* clock = find(builder.document(), id);
    const auto runs = [&](const Capture& capture) { return runsOn(capture, id); };
    if (clock && !isWorthKeeping(*clock) && countOf(builder.document().captures, runs) == 0)
        dropClock(builder, id);
}

void leaveClocks(EditBuilder& builder, const std::vector<ClockId>& clocks)
{
    for (const ClockId clock : clocks) {
        dropIdleClock(builder, clock);
        followPictures(builder, clock);
    }
}

Clock newClock(EditBuilder& builder, const std::string& wanted)
{
    const Table<Clock>& clocks = builder.document().clocks;
    Clock clock;
    clock.name = freeName(wanted, [&](const std::string& name) { return findNamed(clocks, name); });
    clock.id = builder.nextId<ClockId>();
    return clock;
}

void keepPieceRules(Capture& capture)
{
    if (capture.pieces.size() == 1) {
        capture.clock = capture.pieces.front().clock;
        capture.pieces.clear();
    }
    if (capture.pieces.empty() || runsOn(capture, capture.clock))
        return;
    capture.clock = {};
    timing::FrameCount longest;
    for (const Piece& piece : capture.pieces)
        if (const auto length = lastFrame(capture, piece) - piece.firstFrame;
            piece.clock && (!capture.clock || length > longest)) {
            longest = length;
            capture.clock = piece.clock;
        }
}

void putPiecesOnClocks(EditBuilder& builder, Capture& capture,
                       const std::vector<std::vector<timing::RateEvidence>>& evidence)
{
    if (capture.pieces.empty())
        return;
    const auto slowness = [](const Piece& piece) { return piece.stepSeconds * piece.slowedBy; };
    const Piece slowest = std::ranges::max(capture.pieces, {}, slowness);
    for (auto piece = capture.pieces.begin(); piece != capture.pieces.end(); ++piece) {
        if (piece->clock || piece->stepSeconds == 0)
            continue;
        const auto alike =
            std::find_if(capture.pieces.begin(), piece, [&](const Piece& other) { return sameKind(other, *piece); });
        if (sameKind(slowest, *piece))
            piece->clock = capture.clock;
        else if (alike != piece)
            piece->clock = alike->clock;
        else
            piece->clock = putNewClock(builder, fromFrame(capture, piece->firstFrame));
        const auto at = static_cast<std::size_t>(piece - capture.pieces.begin());
        if (at >= evidence.size() || !piece->clock)
            continue;
        Clock clock = *find(builder.document(), piece->clock);
        // Another piece of the same speed says the same, but for rounding.
        if (std::ranges::any_of(clock.evidence,
                                [](const ClockEvidence& known) { return known.rate.origin == timing::Origin::Stamps; }))
            continue;
        for (const timing::RateEvidence& rate : evidence[at])
            addStatement(builder, clock, rate);
        builder.put(clock);
    }
    keepPieceRules(capture);
}

Edit addPiece(const Document& document, CaptureId id, timing::FrameNumber frame)
{
    Capture capture = need(document, id);
    if (frame.value < 1 || frame > lastFrame(capture))
        refuse("a piece of " + named(capture) + " can't begin at frame " + std::to_string(frame.value)
               + "; the first frame after the first piece lies from 1 to " + std::to_string(lastFrame(capture).value));
    if (boundaryBetween(capture, frame - timing::FrameCount{1}, frame))
        refuse("a piece of " + named(capture) + " begins at frame " + std::to_string(frame.value) + " already");
    EditBuilder builder(document, "begin a piece of " + named(capture) + " at frame " + std::to_string(frame.value));
    if (capture.pieces.empty())
        capture.pieces = {{0, capture.clock, false, 0}};
    const Piece piece{frame, putNewClock(builder, fromFrame(capture, frame)), false, 0};
    capture.pieces.insert(std::ranges::upper_bound(capture.pieces, frame, {}, &Piece::firstFrame), piece);
    return finish(std::move(builder), std::move(capture), {});
}

Edit removePiece(const Document& document, CaptureId id, timing::FrameNumber frame)
{
    Capture capture = need(document, id);
    const Piece gone = needPiece(capture, frame);
    if (frame.value == 0)
        refuse("the first piece of " + named(capture) + " has none before it to go with");
    const std::vector<ClockId> before = clocksOf(capture);
    EditBuilder builder(document,
                        "take out the boundary at frame " + std::to_string(frame.value) + " of " + named(capture));
    const auto at = std::ranges::find(capture.pieces, frame, &Piece::firstFrame);
    if (Piece& earlier = *std::prev(at); !earlier.clock) {
        earlier.clock = gone.clock;
        earlier.stepSeconds = gone.stepSeconds;
        earlier.slowedBy = gone.slowedBy;
    }
    capture.pieces.erase(at);
    return finish(std::move(builder), std::move(capture), before);
}

Edit removePieces(const Document& document, CaptureId id)
{
    Capture capture = need(document, id);
    if (capture.pieces.empty())
        refuse(named(capture) + " has one clock throughout");
    const std::vector<ClockId> before = clocksOf(capture);
    EditBuilder builder(document, "take " + named(capture) + " as captured evenly");
    capture.pieces.clear();
    return finish(std::move(builder), std::move(capture), before);
}

Edit setPieceClock(const Document& document, CaptureId id, timing::FrameNumber frame, ClockId clock)
{
    Capture capture = need(document, id);
    const std::vector<ClockId> before = clocksOf(capture);
    EditBuilder builder(document, clock ? "put the piece of " + named(capture) + " from frame "
                                              + std::to_string(frame.value) + " on " + named(need(document, clock))
                                        : "take the piece of " + named(capture) + " from frame "
                                              + std::to_string(frame.value) + " off its clock");
    needPiece(capture, frame).clock = clock;
    return finish(std::move(builder), std::move(capture), before);
}

Edit givePieceClock(const Document& document, CaptureId id, timing::FrameNumber frame)
{
    Capture capture = need(document, id);
    const std::vector<ClockId> before = clocksOf(capture);
    EditBuilder builder(document, "give the piece of " + named(capture) + " from frame " + std::to_string(frame.value)
                                      + " a clock of its own");
    needPiece(capture, frame).clock = putNewClock(builder, fromFrame(capture, frame));
    return finish(std::move(builder), std::move(capture), before);
}

} // namespace session
