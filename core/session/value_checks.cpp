#include "core/session/checks.h"
#include "core/session/limits.h"
#include "core/session/text.h"
#include <algorithm>
#include <cmath>

namespace session {

namespace {

void requireText(const std::string& text, std::size_t limit, const Place& place, const char* what)
{
    const std::optional<std::size_t> length = charactersIn(text);
    require(length.has_value(), place, [&] {
        return std::string(what) + " holds bytes that aren't UTF-8 text or control characters; type it anew";
    });
    require(*length <= limit, place, [&] {
        return std::string(what) + " has " + std::to_string(*length) + " characters; at most " + std::to_string(limit)
               + " are kept";
    });
}

void requireName(const std::string& name, const Place& place, const char* what)
{
    requireText(name, limits::name, place, what);
    require(name.find_first_not_of(" \t\n") != std::string::npos, place,
            [&] { return std::string(what) + " is empty; give one"; });
}

void requireTime(const std::string& time, const Place& place)
{
    require(time.empty() || isTime(time), place,
            [&] { return inQuotes(time) + " is no time in ISO 8601 with offset, such as 2030-01-31T18:05:00+01:00"; });
}

void requireHash(const std::string& hash, std::size_t digits, const Place& place)
{
    require(hash.empty() || isHex(hash, digits), place, [&] {
        return inQuotes(hash) + " is no checksum of " + std::to_string(digits) + " lower-case hexadecimal digits";
    });
}

void requirePositive(double value, const Place& place, const char* what)
{
    require(std::isfinite(value) && value > 0, place,
            [&] { return std::string(what) + " has to be a number above 0"; });
}

void requirePositive(const std::optional<double>& value, const Place& place, const char* what)
{
    if (value)
        requirePositive(*value, place, what);
}

void requireUncertainty(double value, const Place& place)
{
    require(std::isfinite(value) && value >= 0 && value <= 1, place,
            [] { return std::string("a relative uncertainty has to lie between 0 and 1"); });
}

void requireBetween(double value, double least, double most, const Place& place, const char* what)
{
    require(value >= least && value <= most, place, [&] {
        return std::string(what) + " has to be a number between " + std::to_string(static_cast<int>(least)) + " and "
               + std::to_string(static_cast<int>(most));
    });
}

void requireNumber(std::int64_t id, const Place& place)
{
    require(id >= 1 && id <= limits::number, place,
            [&] { return "number " + std::to_string(id) + " is out of range (1 to 9007199254740991)"; });
}

void requireReference(std::int64_t id, const Place& place)
{
    if (id != 0)
        requireNumber(id, place);
}

void requireRange(std::int64_t value, std::int64_t least, std::int64_t most, const Place& place, const char* what)
{
    require(value >= least && value <= most, place, [&] {
        return std::string(what) + " is " + std::to_string(value) + "; it has to lie between " + std::to_string(least)
               + " and " + std::to_string(most);
    });
}

void requireCount(std::size_t count, std::size_t limit, const Place& place, const char* what)
{
    require(count <= limit, place, [&] {
        return "there are " + std::to_string(count) + " " + what + "; at most " + std::to_string(limit) + " are kept";
    });
}

void requireTexts(const Texts& texts, std::span<const TextField> fields, const Place& place)
{
    for (const auto& [key, text] : texts) {
        const auto field = std::ranges::find_if(fields, [&](const TextField& f) { return key == f.key; });
        require(field != fields.end(), place, [&] { return inQuotes(key) + " isn't a field of this checklist"; });
        const Place at(place, field->key);
        requireText(text, limits::text, at, field->label);
        require(!text.empty(), at, [&] { return std::string("a field without text is left out of the checklist"); });
    }
}

void checkEvent(const EventDefinition& event, const Place& place)
{
    requireText(event.reaction, limits::text, {place, "reaction"}, "the reaction in words");
    requirePositive(event.thresholdSd, {place, "thresholdSd"}, "the threshold in standard deviations");
    requirePositive(event.limitMs, {place, "limitMs"}, "the limit after which it is “no reaction”");
    requireBetween(event.lampLeadMs, -limits::offsetMs, limits::offsetMs, {place, "lampLeadMs"},
                   "the lead of the lamp in ms");
    requireBetween(event.lampLeadWidthMs, 0, limits::offsetMs, {place, "lampLeadWidthMs"},
                   "the width of the lamp's lead in ms");
    requireBetween(event.onsetWidthMs, 0, limits::offsetMs, {place, "onsetWidthMs"},
                   "the width of the onset rule in ms");
    if (event.commonHeight)
        requireBetween(*event.commonHeight, 0, 1, {place, "commonHeight"}, "the common height of the reaction");
    requireBetween(event.scanOutTolerance, 0, 1, {place, "scanOutTolerance"},
                   "the tolerance of the scan-out correction");
}

void requireSpread(const std::optional<double>& value, const Place& place, const char* what)
{
    if (value)
        require(std::isfinite(*value) && *value >= 0, place,
                [&] { return std::string(what) + " has to be a number from 0"; });
}

void checkBasis(const PlanBasis& basis, const Place& place)
{
    require(basis.power >= 0.5 && basis.power <= 0.999, {place, "power"},
            [] { return std::string("the power of the plan has to lie between 0.5 and 0.999"); });
    require(basis.runCost >= 0 && basis.runCost <= 10'000, {place, "runCost"},
            [] { return std::string("the effort of setting up a run has to lie between 0 and 10000 trials"); });
    requirePositive(basis.refreshHz, {place, "refreshHz"}, "the display refresh of the plan");
    requirePositive(basis.captureRate, {place, "captureRate"}, "the capture rate of the plan");
    requirePositive(basis.withinSdMs, {place, "withinSdMs"}, "the SD within runs");
    requireSpread(basis.extraSdMs, {place, "extraSdMs"}, "the extra scatter of the plan");
    requireSpread(basis.betweenSdMs, {place, "betweenSdMs"}, "the SD between runs");
    requireSpread(basis.sharedMs, {place, "sharedMs"}, "the shared uncertainty of the plan");
    if (basis.trialsPerRun)
        requireRange(*basis.trialsPerRun, 1, limits::planned, {place, "trialsPerRun"},
                     "the planned number of trials a run");
    if (basis.comparisons)
        requireRange(*basis.comparisons, 1, limits::configurations, {place, "comparisons"},
                     "the planned number of comparisons");
}

void checkSheet(const RunSheet& sheet, const Place& place)
{
    requireRange(sheet.seed, 0, limits::number, {place, "seed"}, "the seed of the run sheet");
    requireTime(sheet.time, {place, "time"});
    requireNumber(sheet.since, {place, "since"});
    const Place lines(place, "lines");
    requireCount(sheet.lines.size(), limits::sheetLines, lines, "lines on the run sheet");
    for (std::size_t i = 0; i < sheet.lines.size(); ++i) {
        const Place at(lines, i);
        const SheetLine& line = sheet.lines[i];
        requireRange(line.block, i > 0 ? sheet.lines[i - 1].block : 1, limits::planned, {at, "block"},
                     "a block of the run sheet");
        requireNumber(line.configuration.value, {at, "configuration"});
        requireRange(line.trials, 1, limits::planned, {at, "trials"}, "the number of trials of a planned run");
        requireReference(line.run.value, {at, "run"});
    }
}

void checkReread(const Reread& reread, const Place& place)
{
    requireRange(reread.seed, 0, limits::number, {place, "seed"}, "the seed of the blind reading");
    requireTime(reread.time, {place, "time"});
    requireNumber(reread.since, {place, "since"});
    requireHash(reread.packet, 32, {place, "packet"});
    const Place places(place, "places");
    requireCount(reread.places.size(), limits::trials, places, "trials to be read blind");
    for (std::size_t i = 0; i < reread.places.size(); ++i) {
        const Place at(places, i);
        requireNumber(reread.places[i].trial.value, {at, "trial"});
        requireRange(reread.places[i].last, 0, limits::frames, {at, "last"},
                     "the last frame of a trial to be read blind");
        requireRange(reread.places[i].first, 0, reread.places[i].last, {at, "first"},
                     "the first frame of a trial to be read blind");
    }
}

void checkPacket(const Packet& packet, const Place& place)
{
    require(isHex(packet.token, 32), {place, "token"},
            [] { return std::string("the token of a packet has to have 32 lower-case hexadecimal digits"); });
    requireTime(packet.time, {place, "time"});
    requireRange(packet.seed, 0, limits::number, {place, "seed"}, "the seed of a packet");
    const Place trials(place, "trials");
    requireCount(packet.trials.size(), limits::trials, trials, "trials in a packet");
    for (std::size_t i = 0; i < packet.trials.size(); ++i)
        requireNumber(packet.trials[i].value, {trials, i});
}

void checkPlan(const Plan& plan, const Place& place)
{
    requireText(plan.question, limits::text, {place, "question"}, "the question");
    requireReference(plan.baseline.value, {place, "baseline"});
    requirePositive(plan.marginMs, {place, "marginMs"}, "the margin");
    requireTime(plan.marginTime, {place, "marginTime"});
    if (plan.trialsPerConfiguration)
        requireRange(*plan.trialsPerConfiguration, 1, limits::planned, {place, "trialsPerConfiguration"},
                     "the planned number of trials");
    if (plan.runsPerConfiguration)
        requireRange(*plan.runsPerConfiguration, 1, limits::planned, {place, "runsPerConfiguration"},
                     "the planned number of runs");
    if (plan.baselineTrials)
        requireRange(*plan.baselineTrials, 1, limits::planned, {place, "baselineTrials"},
                     "the baseline's planned number of trials");
    if (plan.baselineRuns)
        requireRange(*plan.baselineRuns, 1, limits::planned, {place, "baselineRuns"},
                     "the baseline's planned number of runs");
    if (plan.basis)
        checkBasis(*plan.basis, {place, "basis"});
    requireTime(plan.planTime, {place, "planTime"});
    require(plan.level >= 0.5 && plan.level <= 0.999, {place, "level"},
            [] { return std::string("the level of the intervals has to lie between 0.5 and 0.999"); });
}

void checkPublish(const PublishSettings& publish, const Place& place)
{
    requireText(publish.title, limits::text, {place, "title"}, "the title of the chart");
    requireText(publish.subtitle, limits::text, {place, "subtitle"}, "the subtitle of the chart");
    requireText(publish.footnote, limits::text, {place, "footnote"}, "the footnote of the chart");
    requireText(publish.folder, limits::path, {place, "folder"}, "the folder published into");
}

void checkRate(const timing::RateEvidence& rate, const Place& place)
{
    requirePositive(rate.rate, {place, "rate"}, "a capture rate");
    if (rate.exactRate)
        require(rate.exactRate->numerator() > 0, {place, "exactRate"},
                [] { return std::string("an exact capture rate has to be above 0"); });
    requireUncertainty(rate.relativeUncertainty, {place, "relativeUncertainty"});
    requireText(rate.note, limits::text, {place, "note"}, "the note of a capture rate");
}

void checkReadout(const Readout& readout, const Place& place)
{
    requireBetween(readout.lineTimeSeconds, 0, 1, {place, "lineTimeSeconds"}, "a line time in seconds");
    requireBetween(readout.uncertaintySeconds, 0, 1, {place, "uncertaintySeconds"},
                   "the uncertainty of a line time in seconds");
    require(readout.kind != ReadoutKind::LineTime || readout.lineTimeSeconds > 0, {place, "lineTimeSeconds"},
            [] { return std::string("a known line time has to be a number above 0"); });
    requireText(readout.note, limits::text, {place, "note"}, "the note of a line time");
}

void checkRegion(const Region& region, const Capture& capture, const Place& place)
{
    requireNumber(region.id.value, {place, "id"});
    requireName(region.name, {place, "name"}, "the name of a region");
    const bool inside = region.x >= 0 && region.y >= 0 && region.width >= 1 && region.height >= 1
                        && region.width <= capture.width && region.height <= capture.height
                        && region.x <= capture.width - region.width && region.y <= capture.height - region.height;
    require(inside, place, [&] {
        return "region " + inQuotes(region.name) + " (" + std::to_string(region.width) + " x "
               + std::to_string(region.height) + " at " + std::to_string(region.x) + ", " + std::to_string(region.y)
               + ") doesn't lie inside the picture of " + inQuotes(capture.name) + " (" + std::to_string(capture.width)
               + " x " + std::to_string(capture.height) + ")";
    });
}

void checkRegions(const Capture& capture, const Place& place)
{
    requireCount(capture.regions.size(), limits::regions, place, "regions");
    for (std::size_t i = 0; i < capture.regions.size(); ++i) {
        const Region& region = capture.regions[i];
        const Place at(place, i);
        checkRegion(region, capture, at);
        for (std::size_t k = 0; k < i; ++k)
            require(capture.regions[k].kind != region.kind || capture.regions[k].name != region.name, {at, "name"},
                    [&] {
                        return "another region of that kind in " + inQuotes(capture.name) + " is named "
                               + inQuotes(region.name) + "; choose another name";
                    });
    }
}

void checkMissing(const Capture& capture, const Place& place)
{
    requireCount(capture.missing.size(), limits::missing, place, "gaps");
    std::int64_t previous = 0;
    for (std::size_t i = 0; i < capture.missing.size(); ++i) {
        const Place at(place, i);
        requireRange(capture.missing[i].before, 1, capture.frames - 1, {at, "before"}, "the frame after a gap");
        requireRange(capture.missing[i].count, 1, limits::frames, {at, "count"}, "the number of missing frames");
        require(capture.missing[i].before > previous, {at, "before"},
                [&] { return "gaps of " + inQuotes(capture.name) + " aren't in ascending order"; });
        previous = capture.missing[i].before;
    }
}

void checkUnknown(const Capture& capture, const Place& place)
{
    requireCount(capture.unknown.size(), limits::unknown, place, "stretches of unknown time");
    std::int64_t previous = 0;
    for (std::size_t i = 0; i < capture.unknown.size(); ++i) {
        const Place at(place, i);
        const UnknownStretch& stretch = capture.unknown[i];
        requireRange(stretch.first, previous, capture.frames - 2, {at, "first"},
                     "the first frame of a stretch of unknown time");
        requireRange(stretch.last, stretch.first + 1, capture.frames - 1, {at, "last"},
                     "the last frame of a stretch of unknown time");
        requireText(stretch.why, limits::text, {at, "why"}, "the reason why time is unknown");
        previous = stretch.first;
    }
}

void checkPictures(const Capture& capture, const Place& place)
{
    using Verdict = timing::PictureRepeats::Verdict;
    if (!capture.pictures)
        return;
    const PictureFinding& found = *capture.pictures;
    const bool pattern = found.verdict == Verdict::Periodic || found.verdict == Verdict::Blended;
    requireRange(found.period, pattern ? 2 : 1, pattern ? 1000 : 1, {place, "period"},
                 "the period of repeated pictures");
    requireRange(found.adding, 1, pattern ? found.period - 1 : 1, {place, "adding"},
                 "the pictures of a period that add something");
    requireRange(found.judged, 0, capture.frames, {place, "judged"}, "the number of pictures judged");
    requireRange(found.repeats, 0, found.judged, {place, "repeats"}, "the number of repeated pictures");
}

void checkPieces(const Capture& capture, const Place& place)
{
    requireCount(capture.pieces.size(), limits::pieces, place, "pieces of a capture");
    if (capture.pieces.empty())
        return;
    require(capture.pieces.size() > 1, place,
            [&] { return "capture " + inQuotes(capture.name) + " is one piece; a clock for all of it is no piece"; });
    for (std::size_t i = 0; i < capture.pieces.size(); ++i) {
        const Place at(place, i);
        const Piece& piece = capture.pieces[i];
        const std::int64_t least = i == 0 ? 0 : capture.pieces[i - 1].firstFrame + 1;
        requireRange(piece.firstFrame, least, i == 0 ? 0 : capture.frames - 1, {at, "firstFrame"},
                     "the first frame of a piece");
        requireReference(piece.clock.value, {at, "clock"});
        requireRange(piece.slowedBy, 1, limits::slowedBy, {at, "slowedBy"}, "how many times slower a piece is played");
        require(piece.stepSeconds >= 0 && piece.stepSeconds <= 3600, {at, "stepSeconds"}, [&] {
            return "the stamps of a piece of " + inQuotes(capture.name)
                   + " step by something that isn't between 0 and 3600 s";
        });
    }
    require(runsOn(capture, capture.clock), {place, "clock"},
            [&] { return "the clock of capture " + inQuotes(capture.name) + " is that of none of its pieces"; });
}

void checkFurtherParts(const Capture& capture, const Place& place)
{
    requireCount(capture.furtherParts.size(), limits::parts, place, "parts of a capture");
    require(!capture.pictureFolder || capture.furtherParts.empty(), place,
            [&] { return "picture folder " + inQuotes(capture.name) + " can't have further parts"; });
    std::int64_t previous = 0;
    for (std::size_t i = 0; i < capture.furtherParts.size(); ++i) {
        const Place at(place, i);
        const FurtherPart& part = capture.furtherParts[i];
        requireText(part.path, limits::path, {at, "path"}, "the path of a part");
        require(!part.path.empty(), {at, "path"},
                [&] { return "a part of " + inQuotes(capture.name) + " has no path"; });
        requireRange(part.firstFrame, previous + 1, capture.frames - 1, {at, "firstFrame"},
                     "the first frame of a part");
        previous = part.firstFrame;
        const bool told = std::ranges::any_of(capture.unknown, [&](const UnknownStretch& stretch) {
            return stretch.first < part.firstFrame && stretch.last >= part.firstFrame && !stretch.stampsTell;
        });
        require(part.gapKnown || told, {at, "gapKnown"}, [&] {
            return "nothing says that no time can be told from frame " + std::to_string(part.firstFrame - 1) + " to "
                   + std::to_string(part.firstFrame) + " of " + inQuotes(capture.name)
                   + ", where a part begins after an unknown gap";
        });
    }
}

void checkMark(const Mark& mark, const Place& place)
{
    requireRange(mark.frame, 0, limits::frames - 1, {place, "frame"}, "the frame of a mark");
    requireHash(mark.pictureHash, 32, {place, "pictureHash"});
    const Place crops(place, "crops");
    requireHash(mark.crops.lampBefore, 64, {crops, "lampBefore"});
    requireHash(mark.crops.lampAt, 64, {crops, "lampAt"});
    requireHash(mark.crops.screenBefore, 64, {crops, "screenBefore"});
    requireHash(mark.crops.screenAt, 64, {crops, "screenAt"});
}

void checkReading(const Reading& reading, const Trial& trial, const Place& place)
{
    const auto ofTrial = [&] { return " of trial " + std::to_string(trial.id.value); };
    requireNumber(reading.id.value, {place, "id"});
    requireText(reading.reader, limits::name, {place, "reader"}, "the reader's name");
    requireTime(reading.time, {place, "time"});
    requireText(reading.view, limits::name, {place, "view"}, "the view of a reading");
    if (reading.press)
        checkMark(*reading.press, {place, "press"});
    if (reading.response)
        checkMark(*reading.response, {place, "response"});
    require(!reading.noReaction || !reading.response, {place, "noReaction"},
            [&] { return "a reading" + ofTrial() + " has a response and says “no reaction”; clear one of them"; });
    if (!reading.accepted)
        return;
    require(isComplete(reading), {place, "accepted"}, [&] {
        return "a reading" + ofTrial() + " can't be accepted before press and response (or “no reaction”) are marked";
    });
    require(!reading.response || reading.press->frame <= reading.response->frame, {place, "press"}, [&] {
        return "the press" + ofTrial() + " (frame " + std::to_string(reading.press->frame)
               + ") lies after its response (frame " + std::to_string(reading.response->frame)
               + "), so the reading can't be accepted; mark one of them again";
    });
}

} // namespace

void checkValues(const Settings& settings, const Place& place)
{
    requireText(settings.title, limits::text, {place, "title"}, "the title");
    requireText(settings.reader, limits::name, {place, "reader"}, "the reader's name");
    checkEvent(settings.event, {place, "event"});
    checkPlan(settings.plan, {place, "plan"});
    requireTexts(settings.rig, rigFields(), {place, "rig"});
    checkPublish(settings.publish, {place, "publish"});
    const Place looks(place, "looks");
    requireCount(settings.looks.size(), limits::looks, looks, "looks");
    for (std::size_t i = 0; i < settings.looks.size(); ++i) {
        const Place at(looks, i);
        requireTime(settings.looks[i].time, {at, "time"});
        requireText(settings.looks[i].reader, limits::name, {at, "reader"}, "the reader's name");
        requireText(settings.looks[i].what, limits::name, {at, "what"}, "what was looked at");
    }
    if (settings.runSheet)
        checkSheet(*settings.runSheet, {place, "runSheet"});
    if (settings.reread)
        checkReread(*settings.reread, {place, "reread"});
    const Place packets(place, "packets");
    requireCount(settings.packets.size(), limits::packets, packets, "packets");
    for (std::size_t i = 0; i < settings.packets.size(); ++i)
        checkPacket(settings.packets[i], {packets, i});
}

void checkValues(const Configuration& configuration, const Place& place)
{
    requireNumber(configuration.id.value, {place, "id"});
    requireRange(configuration.position, 0, 1'000'000, {place, "position"}, "the position of a configuration");
    requireName(configuration.name, {place, "name"}, "the name of a configuration");
    requireText(configuration.group, limits::name, {place, "group"}, "the group of a configuration");
    requireTexts(configuration.texts, configurationFields(), {place, "texts"});
    requirePositive(configuration.refreshHz, {place, "refreshHz"}, "the display refresh");
    requirePositive(configuration.gameFrameRate, {place, "gameFrameRate"}, "the rate of game frames");
    if (configuration.reactionHeight)
        requireBetween(*configuration.reactionHeight, 0, 1, {place, "reactionHeight"},
                       "the height of the reaction on the display");
}

void checkValues(const Run& run, const Place& place)
{
    requireNumber(run.id.value, {place, "id"});
    requireName(run.name, {place, "name"}, "the name of a run");
    requireText(run.note, limits::text, {place, "note"}, "the note of a run");
}

void checkValues(const ErrorSource& source, const Place& place)
{
    requireNumber(source.id.value, {place, "id"});
    requireName(source.name, {place, "name"}, "the name of an error source");
    requireUncertainty(source.relativeUncertainty, {place, "relativeUncertainty"});
}

void checkValues(const Clock& clock, const Place& place)
{
    requireNumber(clock.id.value, {place, "id"});
    requireName(clock.name, {place, "name"}, "the name of a clock");
    requireTexts(clock.camera, cameraFields(), {place, "camera"});
    requirePositive(clock.slowDown, {place, "slowDown"}, "the slow-down factor");
    checkReadout(clock.readout, {place, "readout"});
    const Place evidence(place, "evidence");
    requireCount(clock.evidence.size(), limits::evidence, evidence, "statements of a capture rate");
    for (std::size_t i = 0; i < clock.evidence.size(); ++i) {
        const Place at(evidence, i);
        requireNumber(clock.evidence[i].id.value, {at, "id"});
        checkRate(clock.evidence[i].rate, at);
        requireCount(clock.evidence[i].errorSources.size(), limits::evidenceSources, {at, "errorSources"},
                     "error sources");
    }
    if (!clock.settled)
        return;
    const Place settled(place, "settled");
    requireTime(clock.settled->time, {settled, "time"});
    requireText(clock.settled->reason, limits::text, {settled, "reason"}, "the reason for settling a clock");
    require(settledEvidence(clock), {settled, "evidence"},
            [&] { return "clock " + inQuotes(clock.name) + " is settled on evidence that isn't there"; });
}

void checkValues(const Capture& capture, const Place& place)
{
    requireNumber(capture.id.value, {place, "id"});
    requireRange(capture.position, 0, 1'000'000, {place, "position"}, "the position of a capture");
    requireName(capture.name, {place, "name"}, "the name of a capture");
    requireText(capture.path, limits::path, {place, "path"}, "the path of a capture");
    require(!capture.path.empty(), {place, "path"},
            [&] { return "capture " + inQuotes(capture.name) + " has no path"; });
    requireHash(capture.sha256, 64, {place, "sha256"});
    requireRange(capture.frames, 1, limits::frames, {place, "frames"}, "the number of frames");
    requireRange(capture.width, 1, limits::side, {place, "width"}, "the width of the picture");
    requireRange(capture.height, 1, limits::side, {place, "height"}, "the height of the picture");
    checkMissing(capture, {place, "missing"});
    checkUnknown(capture, {place, "unknown"});
    checkFurtherParts(capture, {place, "furtherParts"});
    checkPieces(capture, {place, "pieces"});
    checkPictures(capture, {place, "pictures"});
    if (capture.stream)
        requireRange(*capture.stream, 0, limits::stream, {place, "stream"}, "the number of a stream");
    const Place tags(place, "rateTags");
    requireCount(capture.rateTags.size(), limits::rateTags, tags, "tags of a capture");
    for (std::size_t i = 0; i < capture.rateTags.size(); ++i) {
        requireName(capture.rateTags[i].key, {Place(tags, i), "key"}, "the key of a tag");
        requireText(capture.rateTags[i].value, limits::name, {Place(tags, i), "value"}, "the text of a tag");
    }
    const Place notes(place, "notes");
    requireCount(capture.notes.size(), limits::notes, notes, "notes");
    for (std::size_t i = 0; i < capture.notes.size(); ++i)
        requireText(capture.notes[i], limits::text, {notes, i}, "a note of a capture");
    requireReference(capture.clock.value, {place, "clock"});
    requireReference(capture.configuration.value, {place, "configuration"});
    requireReference(capture.run.value, {place, "run"});
    checkRegions(capture, {place, "regions"});
    const Place stamps(place, "stampSeconds");
    requireCount(capture.stampSeconds.size(), limits::stamps, stamps, "stamps");
    require(capture.stampSeconds.empty() || std::ssize(capture.stampSeconds) == capture.frames, stamps, [&] {
        return "there are " + std::to_string(capture.stampSeconds.size()) + " stamps for "
               + std::to_string(capture.frames) + " frames of " + inQuotes(capture.name)
               + "; every frame has one or none has";
    });
    for (std::size_t i = 0; i < capture.stampSeconds.size(); ++i)
        require(!std::isinf(capture.stampSeconds[i]), {stamps, i},
                [&] { return "a stamp of " + inQuotes(capture.name) + " isn't finite"; });
    require(capture.stampTickSeconds >= 0 && capture.stampTickSeconds <= 3600, {place, "stampTickSeconds"}, [&] {
        return "stamps of " + inQuotes(capture.name) + " are rounded to something that isn't between 0 and 3600 s";
    });
}

void checkValues(const Trial& trial, const Place& place)
{
    requireNumber(trial.id.value, {place, "id"});
    requireNumber(trial.capture.value, {place, "capture"});
    requireReference(trial.lamp.value, {place, "lamp"});
    requireReference(trial.screen.value, {place, "screen"});
    requireReference(trial.configuration.value, {place, "configuration"});
    requireReference(trial.run.value, {place, "run"});
    requireText(trial.note, limits::text, {place, "note"}, "the note of a trial");
    const Place readings(place, "readings");
    requireCount(trial.readings.size(), limits::readings, readings, "readings");
    for (std::size_t i = 0; i < trial.readings.size(); ++i)
        checkReading(trial.readings[i], trial, {readings, i});
    require(!trial.settled || findReading(trial, trial.settled), {place, "settled"}, [&] {
        return "the reading chosen for trial " + std::to_string(trial.id.value) + " isn't one of its readings";
    });
    if (!trial.reject)
        return;
    const Place reject(place, "reject");
    requireTime(trial.reject->time, {reject, "time"});
    requireText(trial.reject->note, limits::text, {reject, "note"}, "the note of a reject");
    require(trial.reject->reason != RejectReason::Other || !trial.reject->note.empty(), {reject, "note"}, [&] {
        return "trial " + std::to_string(trial.id.value) + " is rejected for another reason; say which in the note";
    });
}

} // namespace session
