#include "core/session/edit_steps.h"
#include <algorithm>

namespace session {

namespace {

Clock clockNamed(EditBuilder& builder, const std::string& name)
{
    const Clock* known = findNamed(builder.document().clocks, name);
    return known ? *known : newClock(builder, name);
}

bool fit(const std::vector<Region>& regions, const Capture& capture)
{
    return std::ranges::all_of(regions, [&](const Region& region) {
        return region.x + region.width <= capture.width && region.y + region.height <= capture.height;
    });
}

/// Between two pieces of footage camera and display mostly stay where they are.
void carryRegions(EditBuilder& builder, Capture& capture)
{
    const auto ordered = inOrder(builder.document().captures);
    capture.regions.clear();
    if (ordered.empty() || !fit(ordered.back()->regions, capture))
        return;
    capture.regions = ordered.back()->regions;
    for (Region& region : capture.regions)
        region.id = builder.nextId<RegionId>();
}

void add(EditBuilder& builder, const NewCapture& wanted)
{
    Capture capture = wanted.capture;
    capture.id = builder.nextId<CaptureId>();
    const auto ordered = inOrder(builder.document().captures);
    capture.position = ordered.empty() ? 0 : ordered.back()->position + 1;
    carryRegions(builder, capture);
    // A camera mode of no name is this capture's alone.
    Clock clock = wanted.cameraMode.empty() ? newClock(builder, capture.name) : clockNamed(builder, wanted.cameraMode);
    const bool isNew = !find(builder.document(), clock.id);
    for (const timing::RateEvidence& rate : wanted.evidence)
        addStatement(builder, clock, rate);
    // Where steps vary as real times do, each frame's own stamp tells its time better than its number.
    if (isNew && !capture.stampSeconds.empty())
        clock.stamped = std::ranges::any_of(
            wanted.evidence, [](const timing::RateEvidence& rate) { return rate.origin == timing::Origin::Stamps; });
    capture.clock = clock.id;
    builder.put(clock);
    putPiecesOnClocks(builder, capture, wanted.pieceEvidence);
    builder.put(capture);
}

} // namespace

void tagWithTrials(EditBuilder& builder, Capture capture, ConfigurationId configuration, RunId run)
{
    for (const Trial* trial : trialsOf(builder.document(), capture.id)) {
        if (std::ranges::any_of(trial->readings, &Reading::accepted))
            continue;
        Trial tagged = *trial;
        tagged.configuration = configuration;
        tagged.run = run;
        builder.put(tagged);
    }
    capture.configuration = configuration;
    capture.run = run;
    builder.put(capture);
}

Edit addCaptures(const Document& document, const std::vector<NewCapture>& captures)
{
    EditBuilder builder(document, captures.size() == 1 ? "add " + named(captures.front().capture)
                                                       : "add " + counted(captures.size(), "capture"));
    for (const NewCapture& capture : captures)
        add(builder, capture);
    return std::move(builder).finish();
}

Edit removeCapture(const Document& document, CaptureId id)
{
    const Capture& capture = need(document, id);
    EditBuilder builder(document, "remove " + named(capture));
    for (const Trial* trial : trialsOf(document, id))
        builder.remove(trial->id);
    builder.remove(id);
    leaveClocks(builder, clocksOf(capture));
    return std::move(builder).finish();
}

Edit setCapture(const Document& document, const Capture& capture, std::string label)
{
    need(document, capture.id);
    return changing(document, std::move(label), capture);
}

Edit learnChecksum(const Document& document, CaptureId id, std::string sha256)
{
    Capture capture = need(document, id);
    if (capture.sha256.empty())
        capture.sha256 = std::move(sha256);
    return changing(document, "note the checksum of " + named(capture), capture, EditKind::ChecksumLearned);
}

Edit learnPresses(const Document& document, CaptureId id, PressFinding presses)
{
    Capture capture = need(document, id);
    capture.presses = std::move(presses);
    return changing(document, "note the presses that " + named(capture) + " proposes", capture,
                    EditKind::PressesProposed);
}

Edit dropPress(const Document& document, CaptureId id, timing::FrameNumber frame)
{
    Capture capture = need(document, id);
    if (!capture.presses
        || std::ranges::find(capture.presses->proposed, frame, &ProposedPress::frame)
               == capture.presses->proposed.end())
        refuse("no press is proposed at frame " + std::to_string(frame.value) + " of " + named(capture));
    const auto place = std::ranges::lower_bound(capture.noPresses, frame);
    if (place == capture.noPresses.end() || *place != frame)
        capture.noPresses.insert(place, frame);
    return changing(document, "drop the proposed press at frame " + std::to_string(frame.value), capture);
}

namespace {

/// Wording alone is no reason to change a session.
bool saysTheSame(const Capture& known, const Capture& found)
{
    return known.frames == found.frames && known.missing == found.missing && known.unknown == found.unknown
           && known.notes.empty() == found.notes.empty();
}

/// What is known of the frames, as `found` has it.
void takeFrames(Capture& capture, const Capture& found)
{
    if (capture.frames != found.frames)
        capture.pictures.reset();
    capture.presses.reset();
    capture.noPresses.clear();
    capture.frames = found.frames;
    capture.missing = found.missing;
    capture.unknown = found.unknown;
    capture.notes = found.notes;
    capture.stampSeconds = found.stampSeconds;
    capture.stampTickSeconds = found.stampTickSeconds;
}

/// Pieces stay on their pictures, as marks do; one that no picture is left of goes.
void movePieces(Capture& capture, const std::vector<std::optional<timing::FrameNumber>>& frames)
{
    const timing::FrameNumber end = timing::FrameNumber{} + capture.frames;
    for (Piece& piece : capture.pieces) {
        auto at = static_cast<std::size_t>(piece.firstFrame.value);
        while (at < frames.size() && !frames[at])
            ++at;
        if (!frames.empty() && piece.firstFrame.value > 0)
            piece.firstFrame = at < frames.size() ? *frames[at] : end;
    }
    const auto gone = [&](const Piece& piece) { return piece.firstFrame >= end; };
    std::erase_if(capture.pieces, gone);
    const auto last =
        std::unique(capture.pieces.rbegin(), capture.pieces.rend(),
                    [](const Piece& later, const Piece& earlier) { return later.firstFrame <= earlier.firstFrame; });
    capture.pieces.erase(capture.pieces.begin(), last.base());
    keepPieceRules(capture);
}

/// The frames of `gone` come after those of `capture`, in pieces where either has some.
void joinPieces(Capture& capture, const Capture& gone, const Capture& joined)
{
    if (capture.pieces.empty() && gone.pieces.empty())
        return;
    if (capture.pieces.empty())
        capture.pieces = {{0, capture.clock, false, 0}};
    const timing::FrameCount shift = capture.frames;
    for (Piece piece : gone.pieces.empty() ? std::vector<Piece>{{0, gone.clock, false, 0}} : gone.pieces) {
        piece.firstFrame = piece.firstFrame + shift;
        if (piece.firstFrame <= lastFrame(joined))
            capture.pieces.push_back(piece);
    }
    keepPieceRules(capture);
}

/// The files as well, and the size of the picture.
void takeFootage(Capture& capture, const Capture& found)
{
    capture.path = found.path;
    capture.furtherParts = found.furtherParts;
    capture.stream = found.stream;
    capture.sha256 = found.sha256;
    capture.width = found.width;
    capture.height = found.height;
    capture.rateTags = found.rateTags;
    capture.stored = found.stored;
    capture.pictures.reset();
    takeFrames(capture, found);
}

} // namespace

Edit followFrames(const Document& document, CaptureId id, const DecodedFrames& found)
{
    Capture capture = need(document, id);
    EditBuilder builder(document, "follow the decoded frames of " + named(capture), EditKind::FramesFollowed);
    const bool asScanned = capture.frames.value == std::ssize(found.moved) && capture.frames != found.capture.frames;
    if (!saysTheSame(capture, found.capture))
        takeFrames(capture, found.capture);
    movePieces(capture, asScanned ? found.moved : std::vector<std::optional<timing::FrameNumber>>());
    builder.put(capture);
    const auto follow = [&](Mark& mark, Reading& reading) {
        const auto place = found.places.find({mark.frame, mark.pictureHash});
        const bool placed = !mark.packet && place != found.places.end();
        if (placed)
            mark.packet = place->second;
        const auto frame = mark.packet ? timing::frameFrom(found.numbers, *mark.packet) : std::nullopt;
        if (frame)
            mark.frame = *frame;
        const bool gone = (!frame && (mark.packet || placed)) || mark.frame > lastFrame(capture);
        mark.frame = std::min(mark.frame, lastFrame(capture));
        if (gone && !reading.doubtful) {
            reading.doubtful = true;
            reading.accepted = false;
        }
    };
    for (const Trial* trial : trialsOf(document, id)) {
        Trial moved = *trial;
        for (Reading& reading : moved.readings)
            for (std::optional<Mark>* mark : {&reading.press, &reading.response})
                if (*mark)
                    follow(**mark, reading);
        builder.put(moved);
    }
    return std::move(builder).finish();
}

std::set<MarkedPicture> markedPictures(const Document& document, CaptureId id)
{
    std::set<MarkedPicture> marked;
    for (const Trial* trial : trialsOf(document, id))
        for (const Reading& reading : trial->readings)
            for (const std::optional<Mark>* mark : {&reading.press, &reading.response})
                if (*mark)
                    marked.emplace((*mark)->frame, (*mark)->pictureHash);
    return marked;
}

Edit exchangeFootage(const Document& document, CaptureId id, const Capture& found, std::string label)
{
    Capture capture = need(document, id);
    requireUnread(named(capture) + " can't change its footage", trialsOf(document, id).size());
    EditBuilder builder(document, std::move(label));
    const std::vector<ClockId> before = clocksOf(capture);
    takeFootage(capture, found);
    if (!fit(capture.regions, capture))
        capture.regions.clear();
    capture.pieces = found.pieces; // speeds change where the other footage has it
    putPiecesOnClocks(builder, capture, {});
    builder.put(capture);
    leaveClocks(builder, before);
    return std::move(builder).finish();
}

Edit joinCaptures(const Document& document, CaptureId first, CaptureId second, const Capture& joined)
{
    Capture capture = need(document, first);
    const Capture& gone = need(document, second);
    requireUnread(named(gone) + " can't be joined", trialsOf(document, second).size());
    EditBuilder builder(document, "join " + named(capture) + " and " + named(gone));
    joinPieces(capture, gone, joined);
    takeFootage(capture, joined);
    builder.put(capture);
    builder.remove(second);
    leaveClocks(builder, clocksOf(gone));
    for (const ClockId clock : clocksOf(capture))
        followPictures(builder, clock);
    return std::move(builder).finish();
}

Edit relinkCapture(const Document& document, CaptureId id, std::string path, std::string sha256,
                   const PacketPlaces& places)
{
    Capture capture = need(document, id);
    EditBuilder builder(document, "relink " + named(capture));
    const bool otherBytes = capture.sha256 != sha256;
    const std::string folder = path.substr(0, path.find_last_of('/') + 1);
    for (FurtherPart& part : capture.furtherParts)
        part.path = folder + part.path.substr(part.path.find_last_of('/') + 1);
    capture.path = std::move(path);
    capture.sha256 = std::move(sha256);
    builder.put(capture);
    const auto place = [&](Mark& mark) {
        const auto known = places.find({mark.frame, mark.pictureHash});
        mark.packet = known == places.end() ? std::nullopt : known->second;
    };
    for (const Trial* trial : otherBytes ? trialsOf(document, id) : std::vector<const Trial*>()) {
        Trial placed = *trial;
        for (Reading& reading : placed.readings)
            for (std::optional<Mark>* mark : {&reading.press, &reading.response})
                if (*mark)
                    place(**mark);
        builder.put(placed);
    }
    return std::move(builder).finish();
}

Edit tagCapture(const Document& document, CaptureId id, ConfigurationId configuration, RunId run)
{
    const Capture& capture = need(document, id);
    if (configuration)
        need(document, configuration);
    if (run)
        need(document, run);
    EditBuilder builder(document, "tag " + named(capture));
    tagWithTrials(builder, capture, configuration, run);
    return std::move(builder).finish();
}

Edit addRun(const Document& document, std::string name, std::optional<CaptureId> tagged)
{
    Run run;
    run.name = std::move(name);
    EditBuilder builder(document, "add " + named(run));
    run.id = builder.nextId<RunId>();
    builder.put(run);
    if (tagged) {
        const Capture& capture = need(document, *tagged);
        tagWithTrials(builder, capture, capture.configuration, run.id);
    }
    return std::move(builder).finish();
}

Edit setRegion(const Document& document, CaptureId id, Region region)
{
    Capture capture = need(document, id);
    EditBuilder builder(document, "set region " + inQuotes(region.name) + " of " + named(capture));
    const auto same = std::ranges::find_if(capture.regions, [&](const Region& other) {
        return region.id ? other.id == region.id : other.kind == region.kind && other.name == region.name;
    });
    if (same != capture.regions.end()) {
        region.id = same->id;
        *same = std::move(region);
    } else {
        if (region.id)
            refuse("there is no region " + std::to_string(region.id.value) + " in " + named(capture));
        region.id = builder.nextId<RegionId>();
        capture.regions.push_back(std::move(region));
    }
    builder.put(capture);
    return std::move(builder).finish();
}

Edit removeRegion(const Document& document, CaptureId id, RegionId regionId)
{
    Capture capture = need(document, id);
    const Region* region = findRegion(capture, regionId);
    if (!region)
        refuse("there is no region " + std::to_string(regionId.value) + " in " + named(capture));
    const std::string name = inQuotes(region->name);
    requireUnread("region " + name + " can't be removed", countOf(document.trials, [&](const Trial& trial) {
                      return trial.lamp == regionId || trial.screen == regionId;
                  }));
    std::erase_if(capture.regions, [&](const Region& other) { return other.id == regionId; });
    return changing(document, "remove region " + name + " of " + named(capture), capture);
}

} // namespace session
