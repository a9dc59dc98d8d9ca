#include "core/session/checks.h"
#include "core/session/entity_json.h"
#include "core/session/entity_names.h"
#include "core/session/json_fields.h"
#include "core/session/limits.h"
#include "core/session/sheet_json.h"
#include <cmath>

namespace session {

namespace {

Texts readTexts(const QJsonValue& value, const Place& place, std::span<const TextField> known)
{
    Fields fields(value, place);
    Texts texts;
    for (const TextField& field : known)
        if (fields.has(field.key))
            texts.emplace(field.key, fields.text(field.key));
    fields.done();
    return texts;
}

EventDefinition readEvent(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    EventDefinition event;
    event.lamp = fields.oneOf<LampEvent>("lamp", names::lampEvent);
    event.reaction = fields.text("reaction");
    event.onset = fields.oneOf<OnsetRule>("onset", names::onsetRule);
    event.thresholdSd = fields.number("thresholdSd");
    event.limitMs = fields.optionalNumber("limitMs");
    event.lampLeadMs = fields.optionalNumber("lampLeadMs").value_or(0);
    event.lampLeadWidthMs = fields.optionalNumber("lampLeadWidthMs").value_or(0);
    event.onsetWidthMs = fields.optionalNumber("onsetWidthMs").value_or(0);
    event.commonHeight = fields.optionalNumber("commonHeight");
    event.scanOutTolerance = fields.optionalNumber("scanOutTolerance").value_or(usualScanOutTolerance);
    fields.done();
    return event;
}

Plan readPlan(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Plan plan;
    plan.question = fields.text("question");
    plan.baseline = fields.optionalId<ConfigurationId>("baseline");
    plan.marginMs = fields.optionalNumber("marginMs");
    plan.marginTime = fields.text("marginTime");
    plan.trialsPerConfiguration = fields.optionalInteger("trialsPerConfiguration");
    plan.runsPerConfiguration = fields.optionalInteger("runsPerConfiguration");
    plan.baselineTrials = fields.optionalInteger("baselineTrials");
    plan.baselineRuns = fields.optionalInteger("baselineRuns");
    fields.optional("basis", [&](const QJsonValue& v, const Place& p) { plan.basis = readPlanBasis(v, p); });
    plan.planTime = fields.text("planTime");
    plan.level = fields.number("level");
    fields.done();
    return plan;
}

PublishSettings readPublish(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    PublishSettings publish;
    publish.title = fields.text("title");
    publish.subtitle = fields.text("subtitle");
    publish.footnote = fields.text("footnote");
    publish.theme = fields.oneOf<ChartTheme>("theme", names::chartTheme);
    publish.folder = fields.text("folder");
    fields.done();
    return publish;
}

Look readLook(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Look look{fields.text("time"), fields.text("reader"), fields.text("what")};
    fields.done();
    return look;
}

timing::FrameRate readRate(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    constexpr std::int64_t most = std::numeric_limits<std::int64_t>::max();
    const std::int64_t numerator = fields.integer("numerator", 1, most);
    const std::int64_t denominator = fields.integer("denominator", 1, most);
    fields.done();
    return {numerator, denominator};
}

ClockEvidence readEvidence(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    ClockEvidence evidence;
    evidence.id = fields.id<EvidenceId>("id");
    evidence.rate.origin = fields.oneOf<timing::Origin>("origin", names::origin);
    evidence.rate.rate = fields.number("rate");
    fields.optional("exactRate",
                    [&](const QJsonValue& v, const Place& p) { evidence.rate.exactRate = readRate(v, p); });
    evidence.rate.relativeUncertainty = fields.number("relativeUncertainty");
    evidence.rate.note = fields.text("note");
    fields.list("errorSources", limits::evidenceSources, [&](const QJsonValue& v, const Place& p) {
        evidence.errorSources.push_back(ErrorSourceId{integerOf(v, p)});
    });
    fields.done();
    return evidence;
}

Settlement readSettlement(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Settlement settled{fields.id<EvidenceId>("evidence"), fields.text("reason"), fields.text("time")};
    fields.done();
    return settled;
}

Readout readReadout(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Readout readout;
    readout.kind = fields.oneOf<ReadoutKind>("kind", names::readoutKind);
    readout.lineTimeSeconds = fields.number("lineTimeSeconds");
    readout.uncertaintySeconds = fields.number("uncertaintySeconds");
    readout.direction = fields.oneOf<ReadoutDirection>("direction", names::readoutDirection);
    readout.note = fields.text("note");
    fields.done();
    return readout;
}

Region readRegion(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Region region;
    region.id = fields.id<RegionId>("id");
    region.kind = fields.oneOf<RegionKind>("kind", names::regionKind);
    region.name = fields.text("name");
    region.x = fields.small("x");
    region.y = fields.small("y");
    region.width = fields.small("width");
    region.height = fields.small("height");
    fields.done();
    return region;
}

Missing readMissing(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    const Missing missing{fields.integer("before"), fields.integer("count")};
    fields.done();
    return missing;
}

FurtherPart readFurtherPart(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    FurtherPart part{fields.text("path"), fields.integer("firstFrame"), fields.flag("gapKnown")};
    fields.done();
    return part;
}

PictureFinding readPictures(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    PictureFinding finding;
    finding.verdict = fields.oneOf<timing::PictureRepeats::Verdict>("verdict", names::pictureVerdict);
    finding.period = fields.small("period");
    finding.adding = fields.small("adding");
    finding.judged = fields.integer("judged");
    finding.repeats = fields.integer("repeats");
    finding.byLamp = fields.flag("byLamp");
    fields.done();
    return finding;
}

Piece readPiece(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Piece piece;
    piece.firstFrame = fields.integer("firstFrame");
    piece.clock = fields.optionalId<ClockId>("clock");
    piece.fromStamps = fields.flag("fromStamps");
    piece.stepSeconds = fields.optionalNumber("stepSeconds").value_or(0);
    piece.slowedBy = fields.optionalInteger("slowedBy").value_or(1);
    fields.done();
    return piece;
}

RateTag readRateTag(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    RateTag tag{fields.text("key"), fields.text("value")};
    fields.done();
    return tag;
}

UnknownStretch readUnknown(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    UnknownStretch stretch;
    stretch.first = fields.integer("first");
    stretch.last = fields.integer("last");
    stretch.stampsTell = fields.flag("stampsTell");
    stretch.why = fields.text("why");
    fields.done();
    return stretch;
}

Crops readCrops(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Crops crops{fields.text("lampBefore"), fields.text("lampAt"), fields.text("screenBefore"), fields.text("screenAt")};
    fields.done();
    return crops;
}

Mark readMark(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Mark mark;
    mark.frame = fields.integer("frame");
    mark.pictureHash = fields.text("pictureHash");
    fields.object("crops", [&](const QJsonValue& v, const Place& p) { mark.crops = readCrops(v, p); });
    fields.done();
    return mark;
}

Reading readReading(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Reading reading;
    reading.id = fields.id<ReadingId>("id");
    reading.reader = fields.text("reader");
    reading.time = fields.text("time");
    reading.view = fields.text("view");
    reading.blind = fields.flag("blind");
    reading.doubtful = fields.flag("doubtful");
    reading.accepted = fields.flag("accepted");
    reading.noReaction = fields.flag("noReaction");
    fields.optional("press", [&](const QJsonValue& v, const Place& p) { reading.press = readMark(v, p); });
    fields.optional("response", [&](const QJsonValue& v, const Place& p) { reading.response = readMark(v, p); });
    fields.done();
    return reading;
}

Reject readReject(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Reject reject;
    reject.reason = fields.oneOf<RejectReason>("reason", names::rejectReason);
    reject.note = fields.text("note");
    reject.time = fields.text("time");
    fields.done();
    return reject;
}

double readStamp(const QJsonValue& value, const Place& place)
{
    return value.isNull() ? std::numeric_limits<double>::quiet_NaN() : numberOf(value, place);
}

template <class T> Entity readAs(const QJsonValue& value, const Place& place)
{
    T entity;
    read(value, place, entity);
    return entity;
}

Entity readEntity(std::size_t kind, const QJsonValue& value, const Place& place)
{
    switch (kind) {
    case 0: return readAs<Settings>(value, place);
    case 1: return readAs<Configuration>(value, place);
    case 2: return readAs<Run>(value, place);
    case 3: return readAs<ErrorSource>(value, place);
    case 4: return readAs<Clock>(value, place);
    case 5: return readAs<Capture>(value, place);
    default: return readAs<Trial>(value, place);
    }
}

Change readChange(const QJsonValue& value, const Place& place)
{
    static_assert(std::size(names::entity) == std::variant_size_v<Entity>);
    Fields fields(value, place);
    const std::size_t kind = fields.choice("kind", names::entity);
    Change change;
    fields.optional("before", [&](const QJsonValue& v, const Place& p) { change.before = readEntity(kind, v, p); });
    fields.optional("after", [&](const QJsonValue& v, const Place& p) { change.after = readEntity(kind, v, p); });
    fields.done();
    return change;
}

} // namespace

void read(const QJsonValue& value, const Place& place, Settings& settings)
{
    Fields fields(value, place);
    settings.title = fields.text("title");
    settings.reader = fields.text("reader");
    fields.object("event", [&](const QJsonValue& v, const Place& p) { settings.event = readEvent(v, p); });
    fields.object("plan", [&](const QJsonValue& v, const Place& p) { settings.plan = readPlan(v, p); });
    fields.object("rig", [&](const QJsonValue& v, const Place& p) { settings.rig = readTexts(v, p, rigFields()); });
    fields.object("publish", [&](const QJsonValue& v, const Place& p) { settings.publish = readPublish(v, p); });
    fields.list("looks", limits::looks,
                [&](const QJsonValue& v, const Place& p) { settings.looks.push_back(readLook(v, p)); });
    fields.optional("runSheet", [&](const QJsonValue& v, const Place& p) { settings.runSheet = readRunSheet(v, p); });
    fields.optional("reread", [&](const QJsonValue& v, const Place& p) { settings.reread = readReread(v, p); });
    if (fields.has("packets"))
        fields.list("packets", limits::packets,
                    [&](const QJsonValue& v, const Place& p) { settings.packets.push_back(readPacket(v, p)); });
    fields.done();
}

void read(const QJsonValue& value, const Place& place, Configuration& configuration)
{
    Fields fields(value, place);
    configuration.id = fields.id<ConfigurationId>("id");
    configuration.position = fields.small("position");
    configuration.name = fields.text("name");
    configuration.group = fields.text("group");
    fields.object("texts", [&](const QJsonValue& v, const Place& p) {
        configuration.texts = readTexts(v, p, configurationFields());
    });
    configuration.refreshHz = fields.optionalNumber("refreshHz");
    configuration.gameFrameRate = fields.optionalNumber("gameFrameRate");
    configuration.reactionHeight = fields.optionalNumber("reactionHeight");
    fields.done();
}

void read(const QJsonValue& value, const Place& place, Run& run)
{
    Fields fields(value, place);
    run.id = fields.id<RunId>("id");
    run.name = fields.text("name");
    run.note = fields.text("note");
    fields.done();
}

void read(const QJsonValue& value, const Place& place, ErrorSource& source)
{
    Fields fields(value, place);
    source.id = fields.id<ErrorSourceId>("id");
    source.name = fields.text("name");
    source.relativeUncertainty = fields.number("relativeUncertainty");
    fields.done();
}

void read(const QJsonValue& value, const Place& place, Clock& clock)
{
    Fields fields(value, place);
    clock.id = fields.id<ClockId>("id");
    clock.name = fields.text("name");
    fields.object("camera",
                  [&](const QJsonValue& v, const Place& p) { clock.camera = readTexts(v, p, cameraFields()); });
    clock.stamped = fields.flag("stamped");
    clock.slowDown = fields.number("slowDown");
    clock.readout = readoutByNote(clock.camera); // where an older program wrote the session
    fields.optional("readout", [&](const QJsonValue& v, const Place& p) { clock.readout = readReadout(v, p); });
    fields.list("evidence", limits::evidence,
                [&](const QJsonValue& v, const Place& p) { clock.evidence.push_back(readEvidence(v, p)); });
    fields.optional("settled", [&](const QJsonValue& v, const Place& p) { clock.settled = readSettlement(v, p); });
    fields.done();
}

void read(const QJsonValue& value, const Place& place, Capture& capture)
{
    Fields fields(value, place);
    capture.id = fields.id<CaptureId>("id");
    capture.position = fields.small("position");
    capture.name = fields.text("name");
    capture.path = fields.text("path");
    capture.pictureFolder = fields.flag("pictureFolder");
    if (fields.has("furtherParts"))
        fields.list("furtherParts", limits::parts, [&](const QJsonValue& v, const Place& p) {
            capture.furtherParts.push_back(readFurtherPart(v, p));
        });
    capture.stream = fields.optionalInteger("stream");
    capture.sha256 = fields.text("sha256");
    capture.frames = fields.integer("frames");
    capture.width = fields.small("width");
    capture.height = fields.small("height");
    fields.list("missing", limits::missing,
                [&](const QJsonValue& v, const Place& p) { capture.missing.push_back(readMissing(v, p)); });
    fields.list("notes", limits::notes,
                [&](const QJsonValue& v, const Place& p) { capture.notes.push_back(textOf(v, p)); });
    capture.clock = fields.optionalId<ClockId>("clock");
    if (fields.has("rateTags"))
        fields.list("rateTags", limits::rateTags,
                    [&](const QJsonValue& v, const Place& p) { capture.rateTags.push_back(readRateTag(v, p)); });
    fields.optional("pictures", [&](const QJsonValue& v, const Place& p) { capture.pictures = readPictures(v, p); });
    if (fields.has("pieces"))
        fields.list("pieces", limits::pieces,
                    [&](const QJsonValue& v, const Place& p) { capture.pieces.push_back(readPiece(v, p)); });
    capture.configuration = fields.optionalId<ConfigurationId>("configuration");
    capture.run = fields.optionalId<RunId>("run");
    fields.list("regions", limits::regions,
                [&](const QJsonValue& v, const Place& p) { capture.regions.push_back(readRegion(v, p)); });
    if (fields.has("unknown"))
        fields.list("unknown", limits::unknown,
                    [&](const QJsonValue& v, const Place& p) { capture.unknown.push_back(readUnknown(v, p)); });
    capture.stampTickSeconds = fields.optionalNumber("stampTickSeconds").value_or(0);
    if (fields.has("stampSeconds"))
        fields.list("stampSeconds", limits::stamps,
                    [&](const QJsonValue& v, const Place& p) { capture.stampSeconds.push_back(readStamp(v, p)); });
    fields.done();
}

void read(const QJsonValue& value, const Place& place, Trial& trial)
{
    Fields fields(value, place);
    trial.id = fields.id<TrialId>("id");
    trial.capture = fields.id<CaptureId>("capture");
    trial.lamp = fields.optionalId<RegionId>("lamp");
    trial.screen = fields.optionalId<RegionId>("screen");
    trial.configuration = fields.optionalId<ConfigurationId>("configuration");
    trial.run = fields.optionalId<RunId>("run");
    fields.list("readings", limits::readings,
                [&](const QJsonValue& v, const Place& p) { trial.readings.push_back(readReading(v, p)); });
    trial.settled = fields.optionalId<ReadingId>("settled");
    fields.optional("reject", [&](const QJsonValue& v, const Place& p) { trial.reject = readReject(v, p); });
    trial.note = fields.text("note");
    fields.done();
}

void read(const QJsonValue& value, const Place& place, Edit& edit)
{
    Fields fields(value, place);
    edit.label = fields.text("label");
    edit.time = fields.text("time");
    edit.nextId = fields.integer("nextId");
    fields.list("changes", limits::changes,
                [&](const QJsonValue& v, const Place& p) { edit.changes.push_back(readChange(v, p)); });
    fields.done();
}

} // namespace session
