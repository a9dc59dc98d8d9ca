#include "core/session/field_tables.h"
#include "core/session/text.h"
#include <algorithm>
#include <cmath>

namespace session {

std::string plainNumber(double value) { return QString::number(value, 'g', 12).toStdString(); }

Clock asNew(const Clock& clock)
{
    Clock fresh;
    const auto note = clock.camera.find("readout");
    if (note != clock.camera.end() && qtText(note->second).contains(QLatin1String("global"), Qt::CaseInsensitive))
        fresh.readout.kind = ReadoutKind::AllAtOnce;
    return fresh;
}

void checkText(const Text& rule, const std::string& text, const Place& place)
{
    const std::optional<std::size_t> length = charactersIn(text);
    require(length.has_value(), place, [&] {
        return std::string(rule.what) + " holds bytes that aren't UTF-8 text or control characters; type it anew";
    });
    require(*length <= rule.most, place, [&] {
        return std::string(rule.what) + " has " + std::to_string(*length) + " characters; at most "
               + std::to_string(rule.most) + " are kept";
    });
    require(!rule.filled || text.find_first_not_of(" \t\n") != std::string::npos, place,
            [&] { return std::string(rule.what) + " is empty; give one"; });
}

void checkTime(const std::string& time, const Place& place)
{
    require(time.empty() || isTime(time), place,
            [&] { return inQuotes(time) + " is no time in ISO 8601 with offset, such as 2030-01-31T18:05:00+01:00"; });
}

void checkHex(const Hex& rule, const std::string& text, const Place& place)
{
    require((rule.empty && text.empty()) || isHex(text, rule.digits), place, [&] {
        return inQuotes(text) + " is no checksum of " + std::to_string(rule.digits) + " lower-case hexadecimal digits";
    });
}

void checkNumber(std::int64_t number, const Place& place)
{
    require(number >= 1 && number <= limits::number, place,
            [&] { return "number " + std::to_string(number) + " is out of range (1 to 9007199254740991)"; });
}

void checkWhole(const Whole& rule, std::int64_t value, const Place& place)
{
    require(value >= rule.least && value <= rule.most, place, [&] {
        return std::string(rule.what) + " is " + std::to_string(value) + "; it has to lie between "
               + std::to_string(rule.least) + " and " + std::to_string(rule.most);
    });
}

void checkReal(const Real& rule, double value, const Place& place)
{
    require((value >= rule.least && value <= rule.most) || (rule.orNone && value == 0), place, [&] {
        return std::string(rule.what) + " has to be " + (rule.orNone ? "0 or " : "") + "a number between "
               + plainNumber(rule.least) + " and " + plainNumber(rule.most);
    });
}

void checkTexts(std::span<const TextField> fields, const Texts& texts, const Place& place)
{
    for (const auto& [key, text] : texts) {
        const auto field = std::ranges::find_if(fields, [&](const TextField& f) { return key == f.key; });
        require(field != fields.end(), place, [&] { return inQuotes(key) + " isn't a field of this checklist"; });
        const Place at(place, field->key);
        checkText({field->label}, text, at);
        require(!text.empty(), at, [&] { return std::string("a field without text is left out of the checklist"); });
    }
}

void checkCount(std::size_t count, std::size_t least, std::size_t most, const char* what, const Place& place)
{
    require(count <= most, place, [&] {
        return "there are " + std::to_string(count) + " " + what + "; at most " + std::to_string(most) + " are kept";
    });
    require(count >= least, place, [&] {
        return "there are " + std::to_string(count) + " " + what + "; it takes at least " + std::to_string(least);
    });
}

Texts readTexts(std::span<const TextField> known, const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Texts texts;
    for (const TextField& field : known)
        if (const QJsonValue there = fields.takeIfThere(field.key); !there.isUndefined())
            texts.emplace(field.key, textOf(there, Place(place, field.key)));
    fields.done();
    return texts;
}

timing::FrameRate readRate(const QJsonValue& value, const Place& place)
{
    constexpr Whole part{"a part of an exact rate", 1, std::numeric_limits<std::int64_t>::max()};
    Fields fields(value, place);
    std::int64_t numerator = 0, denominator = 0;
    readValue(part, fields.take("numerator"), Place(place, "numerator"), numerator);
    readValue(part, fields.take("denominator"), Place(place, "denominator"), denominator);
    fields.done();
    return {numerator, denominator};
}

QJsonValue written(const Texts& texts)
{
    QJsonObject object;
    for (const auto& [key, text] : texts)
        object.insert(qtText(key), qtText(text));
    return object;
}

QJsonValue written(const timing::FrameRate& rate)
{
    return QJsonObject{{"numerator", whole(rate.numerator())}, {"denominator", whole(rate.denominator())}};
}

namespace {

void requireFrame(timing::FrameNumber frame, timing::FrameNumber least, timing::FrameNumber most, const Place& place,
                  const char* what)
{
    checkWhole({what, least.value, most.value}, frame.value, place);
}

void checkRegion(const Region& region, const Capture& capture, const Place& place)
{
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
    timing::FrameNumber previous;
    forItems(capture.missing, place, [&](const timing::Gap& gap, const Place& at) {
        requireFrame(gap.before, {1}, lastFrame(capture), {at, "before"}, "the frame after a gap");
        require(gap.before > previous, {at, "before"},
                [&] { return "gaps of " + inQuotes(capture.name) + " aren't in ascending order"; });
        previous = gap.before;
    });
}

void checkUnknown(const Capture& capture, const Place& place)
{
    timing::FrameNumber previous;
    forItems(capture.unknown, place, [&](const UnknownStretch& stretch, const Place& at) {
        requireFrame(stretch.first, previous, lastFrame(capture) - timing::FrameCount{1}, {at, "first"},
                     "the first frame of a stretch of unknown time");
        requireFrame(stretch.last, stretch.first + timing::FrameCount{1}, lastFrame(capture), {at, "last"},
                     "the last frame of a stretch of unknown time");
        previous = stretch.first;
    });
}

void checkPictures(const Capture& capture, const Place& place)
{
    if (!capture.pictures)
        return;
    const PictureFinding& found = *capture.pictures;
    const bool pattern = timing::isPattern(found.verdict);
    checkWhole({"the period of repeated pictures", pattern ? 2 : 1, pattern ? 1000 : 1}, found.period,
               {place, "period"});
    checkWhole({"the pictures of a period that add something", 1, pattern ? found.period - 1 : 1}, found.adding,
               {place, "adding"});
    checkWhole({"the number of pictures judged", 0, capture.frames.value}, found.judged, {place, "judged"});
    checkWhole({"the number of repeated pictures", 0, found.judged}, found.repeats, {place, "repeats"});
}

void checkPresses(const Capture& capture, const Place& place)
{
    if (!capture.presses)
        return;
    timing::FrameNumber least;
    forItems(capture.presses->proposed, {place, "proposed"}, [&](const ProposedPress& press, const Place& at) {
        requireFrame(press.frame, least, lastFrame(capture), {at, "frame"}, "a proposed press");
        requireFrame(press.first, {0}, press.frame, {at, "first"}, "the first frame of a proposed press");
        requireFrame(press.last, press.frame, lastFrame(capture), {at, "last"}, "the last frame of a proposed press");
        least = press.frame + timing::FrameCount{1};
    });
}

void checkPieces(const Capture& capture, const Place& place)
{
    if (capture.pieces.empty())
        return;
    timing::FrameNumber least, most;
    forItems(capture.pieces, place, [&](const Piece& piece, const Place& at) {
        requireFrame(piece.firstFrame, least, most, {at, "firstFrame"}, "the first frame of a piece");
        least = piece.firstFrame + timing::FrameCount{1};
        most = lastFrame(capture);
    });
    require(runsOn(capture, capture.clock), {place, "clock"},
            [&] { return "the clock of capture " + inQuotes(capture.name) + " is that of none of its pieces"; });
}

void checkFurtherParts(const Capture& capture, const Place& place)
{
    require(!capture.pictureFolder || capture.furtherParts.empty(), place,
            [&] { return "picture folder " + inQuotes(capture.name) + " can't have further parts"; });
    timing::FrameNumber previous;
    forItems(capture.furtherParts, place, [&](const FurtherPart& part, const Place& at) {
        requireFrame(part.firstFrame, previous + timing::FrameCount{1}, lastFrame(capture), {at, "firstFrame"},
                     "the first frame of a part");
        previous = part.firstFrame;
        const bool told = std::ranges::any_of(capture.unknown, [&](const UnknownStretch& stretch) {
            return stretch.first < part.firstFrame && stretch.last >= part.firstFrame && !stretch.stampsTell;
        });
        require(part.gapKnown || told, {at, "gapKnown"}, [&] {
            return "nothing says that no time can be told from frame " + std::to_string(part.firstFrame.value - 1)
                   + " to " + std::to_string(part.firstFrame.value) + " of " + inQuotes(capture.name)
                   + ", where a part begins after an unknown gap";
        });
    });
}

void checkReading(const Reading& reading, const std::string& ofTrial, const Place& place)
{
    require(!reading.noReaction || !reading.response, {place, "noReaction"},
            [&] { return "a reading" + ofTrial + " has a response and says “no reaction”; clear one of them"; });
    if (!reading.accepted)
        return;
    require(isComplete(reading), {place, "accepted"}, [&] {
        return "a reading" + ofTrial + " can't be accepted before press and response (or “no reaction”) are marked";
    });
    require(!reading.response || reading.press->frame <= reading.response->frame, {place, "press"}, [&] {
        return "the press" + ofTrial + " (frame " + std::to_string(reading.press->frame.value)
               + ") lies after its response (frame " + std::to_string(reading.response->frame.value)
               + "), so the reading can't be accepted; mark one of them again";
    });
}

} // namespace

void checkTogether(const RunSheet& sheet, const Place& place)
{
    std::int64_t least = 1;
    forItems(sheet.lines, {place, "lines"}, [&](const SheetLine& line, const Place& at) {
        checkWhole({"a block of the run sheet", least, limits::planned}, line.block, {at, "block"});
        least = line.block;
    });
}

void checkTogether(const RereadPlace& place, const Place& at)
{
    requireFrame(place.first, {}, place.last, {at, "first"}, "the first frame of a trial to be read blind");
}

void checkTogether(const Readout& readout, const Place& place)
{
    require(readout.kind != ReadoutKind::LineTime || readout.lineTimeSeconds > 0, {place, "lineTimeSeconds"},
            [] { return std::string("a known line time has to be a number above 0"); });
}

void checkTogether(const Clock& clock, const Place& place)
{
    const Place settled(place, "settled");
    require(!clock.settled || settledEvidence(clock), {settled, "evidence"},
            [&] { return "clock " + inQuotes(clock.name) + " is settled on evidence that isn't there"; });
}

void checkTogether(const Capture& capture, const Place& place)
{
    checkMissing(capture, {place, "missing"});
    checkUnknown(capture, {place, "unknown"});
    checkFurtherParts(capture, {place, "furtherParts"});
    checkPieces(capture, {place, "pieces"});
    checkPictures(capture, {place, "pictures"});
    checkPresses(capture, {place, "presses"});
    checkRegions(capture, {place, "regions"});
    require(capture.stampSeconds.empty() || std::ssize(capture.stampSeconds) == capture.frames.value,
            {place, "stampSeconds"}, [&] {
                return "there are " + std::to_string(capture.stampSeconds.size()) + " stamps for "
                       + std::to_string(capture.frames.value) + " frames of " + inQuotes(capture.name)
                       + "; every frame has one or none has";
            });
}

void checkTogether(const Trial& trial, const Place& place)
{
    const std::string ofTrial = " of trial " + std::to_string(trial.id.value);
    forItems(trial.readings, {place, "readings"},
             [&](const Reading& reading, const Place& at) { checkReading(reading, ofTrial, at); });
    require(!trial.settled || findReading(trial, trial.settled), {place, "settled"}, [&] {
        return "the reading chosen for trial " + std::to_string(trial.id.value) + " isn't one of its readings";
    });
    const Place reject(place, "reject");
    require(!trial.reject || trial.reject->reason != RejectReason::Other || !trial.reject->note.empty(),
            {reject, "note"}, [&] {
                return "trial " + std::to_string(trial.id.value)
                       + " is rejected for another reason; say which in the note";
            });
}

void checkTogether(const EarlierConfiguration& earlier, const Place& place)
{
    const std::string user = "earlier configuration " + inQuotes(earlier.name);
    require(earlier.meanMs.has_value() == !earlier.delaysMs.empty() && earlier.lines.empty() == !earlier.meanMs,
            {place, "meanMs"},
            [&] { return user + " needs its mean and a budget where it has delays, and no others"; });
    if (earlier.delaysMs.size() > 1)
        forItems(earlier.lines, {place, "lines"}, [&](const EarlierLine& line, const Place& at) {
            require(line.dof.value_or(1) >= 1, {at, "dof"},
                    [&] { return "a budget of " + user + " has a line of less than 1 degree of freedom"; });
        });
}

void checkTogether(const EarlierSession& earlier, const Place& place)
{
    require(static_cast<bool>(earlier.here) == static_cast<bool>(earlier.there)
                && (!earlier.there || findEarlier(earlier, earlier.there)),
            {place, "there"}, [&] {
                return "the bridge of earlier session " + inQuotes(earlier.title) + " isn't one of its configurations";
            });
}

} // namespace session
