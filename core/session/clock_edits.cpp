#include "core/session/edit_steps.h"
#include <algorithm>
#include <cmath>
#include <set>

namespace session {

namespace {

bool sameStatement(const timing::RateEvidence& a, const timing::RateEvidence& b)
{
    return a.origin == b.origin && a.rate == b.rate && a.exactRate == b.exactRate
           && a.relativeUncertainty == b.relativeUncertainty;
}

bool holds(const Clock& clock, const timing::RateEvidence& rate)
{
    return std::ranges::any_of(clock.evidence, [&](const ClockEvidence& e) { return sameStatement(e.rate, rate); });
}

/// A decision stands for the value it was made for, so it goes with it.
void dropEvidence(Clock& clock, timing::Origin origin)
{
    std::erase_if(clock.evidence, [&](const ClockEvidence& e) { return e.rate.origin == origin; });
    if (clock.settled && !settledEvidence(clock))
        clock.settled.reset();
}

bool hasCaptures(const Document& document, ClockId id)
{
    return std::ranges::any_of(document.captures, [&](const auto& item) { return runsOn(*item.second, id); });
}

double rootSumOfSquares(const std::vector<ErrorSource>& sources)
{
    double squares = 0;
    for (const ErrorSource& source : sources)
        squares += source.relativeUncertainty * source.relativeUncertainty;
    return std::sqrt(squares);
}

/// What is known of a clock that goes belongs to the camera mode and so to the clock that stays.
void takeOver(EditBuilder& builder, ClockId stays, ClockId goes)
{
    Clock clock = *find(builder.document(), stays);
    for (const ClockEvidence& evidence : find(builder.document(), goes)->evidence)
        if (!holds(clock, evidence.rate)) {
            clock.evidence.push_back(evidence);
            clock.evidence.back().id = builder.nextId<EvidenceId>();
        }
    if (clock.readout.kind == ReadoutKind::Unknown)
        clock.readout = find(builder.document(), goes)->readout;
    builder.put(clock);
    dropClock(builder, goes);
}

} // namespace

void dropUnusedSources(EditBuilder& builder, const std::vector<ClockEvidence>& candidates)
{
    std::set<ErrorSourceId> unused;
    for (const ClockEvidence& evidence : candidates)
        unused.insert(evidence.errorSources.begin(), evidence.errorSources.end());
    for (const auto& [id, clock] : builder.document().clocks)
        for (const ClockEvidence& evidence : clock->evidence)
            for (const ErrorSourceId used : evidence.errorSources)
                unused.erase(used);
    for (const ErrorSourceId id : unused)
        if (find(builder.document(), id))
            builder.remove(id);
}

void dropClock(EditBuilder& builder, ClockId id)
{
    const std::vector<ClockEvidence> evidence = find(builder.document(), id)->evidence;
    builder.remove(id);
    dropUnusedSources(builder, evidence);
}

void addStatement(EditBuilder& builder, Clock& clock, const timing::RateEvidence& rate)
{
    if (holds(clock, rate))
        return;
    ClockEvidence evidence{builder.nextId<EvidenceId>(), rate, {}};
    if (rate.relativeUncertainty > 0) {
        const ErrorSource source{builder.nextId<ErrorSourceId>(),
                                 std::string(timing::label(rate.origin)) + " rate of " + clock.name,
                                 rate.relativeUncertainty};
        builder.put(source);
        evidence.errorSources = {source.id};
    }
    clock.evidence.push_back(std::move(evidence));
}

namespace {

/// Puts the clock with what its captures' pictures show, and takes out error sources that only its statements before
/// referred to.
Edit finish(EditBuilder&& builder, const Document& before, const Clock& clock)
{
    builder.put(clock);
    dropUnusedSources(builder, find(before, clock.id)->evidence);
    followPictures(builder, clock.id);
    return std::move(builder).finish();
}

} // namespace

Edit setClock(const Document& document, const Clock& wanted, std::string label)
{
    const std::vector<ClockEvidence> before = need(document, wanted.id).evidence;
    EditBuilder builder(document, std::move(label));
    Clock clock = wanted;
    dropEmpty(clock.camera);
    builder.put(clock);
    dropUnusedSources(builder, before);
    return std::move(builder).finish();
}

Edit declareRate(const Document& document, ClockId id, double captureRate, double toleranceRelative, std::string note)
{
    Clock clock = need(document, id);
    if (!(captureRate > 0) || !std::isfinite(captureRate))
        refuse("a declared capture rate has to be a number above 0");
    if (!(toleranceRelative >= 0) || !(toleranceRelative < 1))
        refuse("the tolerance of a declared capture rate has to be at least 0 and below 100 %");
    EditBuilder builder(document, "declare the capture rate of " + named(clock));
    timing::RateEvidence rate = timing::declaredEvidence(captureRate, toleranceRelative);
    if (!note.empty())
        rate.note = std::move(note);
    dropEvidence(clock, timing::Origin::Declared);
    addStatement(builder, clock, rate);
    return finish(std::move(builder), document, clock);
}

Edit addReference(const Document& document, ClockId id, timing::RateEvidence rate, std::vector<ErrorSource> sources)
{
    Clock clock = need(document, id);
    EditBuilder builder(document, "add a reference for " + named(clock));
    rate.origin = timing::Origin::Reference;
    rate.relativeUncertainty = rootSumOfSquares(sources);
    dropEvidence(clock, timing::Origin::Reference);
    ClockEvidence evidence{builder.nextId<EvidenceId>(), std::move(rate), {}};
    for (ErrorSource& source : sources) {
        if (!source.id)
            source.id = builder.nextId<ErrorSourceId>();
        else if (const ErrorSource* known = find(document, source.id); !known || *known != source)
            refuse("error source " + inQuotes(source.name) + " isn't in this session as it is given");
        evidence.errorSources.push_back(source.id);
        builder.put(source);
    }
    clock.evidence.push_back(std::move(evidence));
    return finish(std::move(builder), document, clock);
}

Edit settleClock(const Document& document, ClockId id, EvidenceId evidence, std::string reason)
{
    Clock clock = need(document, id);
    if (const ClockEvidence* chosen = findEvidence(clock, evidence);
        chosen && chosen->rate.origin == timing::Origin::Pictures)
        refuse("what the pictures show says how many of them are real, not how long a camera frame lasts; settle "
               + named(clock) + " with another rate, best from a lamp of known frequency");
    clock.settled = Settlement{evidence, std::move(reason), timeNow()};
    return changing(document, "settle " + named(clock), clock);
}

Edit setReadout(const Document& document, ClockId id, const Readout& readout)
{
    Clock clock = need(document, id);
    clock.readout = readout;
    return changing(document, "set the readout of " + named(clock), clock);
}

namespace {

/// Mean rate of the capture's stamps, those of frames that have none left out; empty where they don't go on.
std::optional<double> meanRate(const Capture& capture)
{
    const auto finite = [](double stamp) { return std::isfinite(stamp); };
    const auto first = std::ranges::find_if(capture.stampSeconds, finite);
    const auto last = std::find_if(capture.stampSeconds.rbegin(), capture.stampSeconds.rend(), finite);
    if (first == capture.stampSeconds.end() || !(*last > *first))
        return std::nullopt;
    return static_cast<double>(last.base() - first - 1) / (*last - *first);
}

} // namespace

Edit readStamps(const Document& document, ClockId id, double slowDown)
{
    Clock clock = need(document, id);
    if (!(slowDown > 0) || !std::isfinite(slowDown))
        refuse("the slow-down of stamps has to be a number above 0");
    std::optional<double> rate;
    for (const Capture* capture : inOrder(document.captures)) {
        if (!runsOn(*capture, id))
            continue;
        if (capture->stampSeconds.empty())
            refuse("the session holds no stamps of " + named(*capture)
                   + ", because they step evenly; read its time from the frames' numbers");
        if (!rate)
            rate = meanRate(*capture);
    }
    if (!rate)
        refuse("no capture on " + named(clock) + " has stamps that go on in time");
    EditBuilder builder(document, "read the time of " + named(clock) + " from stamps");
    clock.stamped = true;
    clock.slowDown = slowDown;
    const auto own = std::ranges::find(clock.evidence, timing::Origin::Stamps,
                                       [](const ClockEvidence& evidence) { return evidence.rate.origin; });
    const double stated = *rate / slowDown;
    // Stamps that were found to be real times have said so already.
    if (own == clock.evidence.end() || std::abs(own->rate.rate / stated - 1) > timing::uncalibratedTolerance) {
        dropEvidence(clock, timing::Origin::Stamps);
        addStatement(builder, clock,
                     {timing::Origin::Stamps,
                      stated,
                      {},
                      timing::deviceClockUncertainty,
                      "mean rate of stamps that are taken as the times of their frames"});
    }
    return finish(std::move(builder), document, clock);
}

Edit readNumbers(const Document& document, ClockId id)
{
    Clock clock = need(document, id);
    clock.stamped = false;
    return changing(document, "read the time of " + named(clock) + " from the frames' numbers", clock);
}

Edit unsettleClock(const Document& document, ClockId id)
{
    Clock clock = need(document, id);
    if (!clock.settled)
        refuse(named(clock) + " isn't settled");
    clock.settled.reset();
    return changing(document, "unsettle " + named(clock), clock);
}

namespace {

/// Pieces of captures that run on the clock already, others than `captures`: which kind of piece is read with which
/// clock.
std::vector<Piece> piecesBeside(const Document& document, ClockId id, const std::vector<CaptureId>& captures)
{
    std::vector<Piece> pieces;
    for (const Capture* capture : inOrder(document.captures))
        if (runsOn(*capture, id) && std::ranges::find(captures, capture->id) == captures.end())
            pieces.insert(pieces.end(), capture->pieces.begin(), capture->pieces.end());
    std::erase_if(pieces, [](const Piece& piece) { return !piece.clock || piece.stepSeconds == 0; });
    return pieces;
}

/// The clocks of each piece as `beside` has them. Where that puts none on `id`, those go there that ran on the
/// capture's own clock.
std::vector<ClockId> sharedClocks(const Capture& capture, ClockId id, const std::vector<Piece>& beside)
{
    std::vector<ClockId> clocks;
    for (const Piece& piece : capture.pieces) {
        const auto alike = std::ranges::find_if(beside, [&](const Piece& other) { return sameKind(other, piece); });
        clocks.push_back(alike != beside.end() ? alike->clock : piece.clock);
    }
    if (std::ranges::find(clocks, id) == clocks.end())
        for (std::size_t i = 0; i < clocks.size(); ++i)
            if (capture.pieces[i].clock == capture.clock)
                clocks[i] = id;
    return clocks;
}

} // namespace

void putOnClock(EditBuilder& builder, ClockId id, const std::vector<CaptureId>& captures)
{
    need(builder.document(), id);
    const std::vector<Piece> beside = piecesBeside(builder.document(), id, captures);
    std::vector<std::pair<ClockId, ClockId>> moves; // from a clock to the one in its place
    for (const CaptureId captureId : captures) {
        Capture capture = need(builder.document(), captureId);
        const std::vector<ClockId> clocks = sharedClocks(capture, id, beside);
        ClockId own = capture.pieces.empty() ? id : capture.clock;
        for (std::size_t i = 0; i < clocks.size(); ++i) {
            ClockId& now = capture.pieces[i].clock;
            if (now && now != clocks[i])
                moves.emplace_back(now, clocks[i]);
            if (now == capture.clock)
                own = clocks[i];
            now = clocks[i];
        }
        if (capture.pieces.empty() && capture.clock && capture.clock != id)
            moves.emplace_back(capture.clock, id);
        capture.clock = own;
        keepPieceRules(capture);
        builder.put(capture);
    }
    for (const auto& [left, stays] : moves)
        if (find(builder.document(), left) && !hasCaptures(builder.document(), left))
            takeOver(builder, stays, left);
    followPictures(builder, id);
    for (const auto& [left, stays] : moves) {
        followPictures(builder, stays);
        followPictures(builder, left);
    }
}

Edit shareClock(const Document& document, ClockId id, const std::vector<CaptureId>& captures)
{
    EditBuilder builder(document, "share " + named(need(document, id)));
    putOnClock(builder, id, captures);
    return std::move(builder).finish();
}

Edit splitClock(const Document& document, CaptureId id, ClockId shared)
{
    Capture capture = need(document, id);
    Clock own = need(document, shared);
    EditBuilder builder(document, "give capture " + capture.name + " a clock of its own");
    own.id = builder.nextId<ClockId>();
    own.name = capture.name;
    own.settled.reset();
    for (ClockEvidence& evidence : own.evidence)
        evidence.id = builder.nextId<EvidenceId>();
    for (Piece& piece : capture.pieces)
        if (piece.clock == shared)
            piece.clock = own.id;
    if (capture.clock == shared)
        capture.clock = own.id;
    builder.put(own);
    builder.put(capture);
    followPictures(builder, own.id);
    followPictures(builder, shared);
    return std::move(builder).finish();
}

} // namespace session
