#include "core/session/entity_json.h"
#include "core/session/entity_names.h"
#include "core/session/json_put.h"
#include "core/session/sheet_json.h"
#include <QJsonArray>
#include <cmath>

namespace session {

namespace {

QString name(const char* known) { return QString::fromLatin1(known); }

/// What a field left out means is left out.
void putUnless(QJsonObject& object, const char* key, double value, double leftOut)
{
    if (value != leftOut)
        object.insert(QLatin1String(key), plain(value));
}

QJsonObject toObject(const Texts& texts)
{
    QJsonObject object;
    for (const auto& [key, value] : texts)
        object.insert(text(key), text(value));
    return object;
}

template <class T, class Make> QJsonArray toArray(const std::vector<T>& items, Make make)
{
    QJsonArray array;
    for (const T& item : items)
        array.append(make(item));
    return array;
}

QJsonObject toObject(const Look& look)
{
    return {{"time", text(look.time)}, {"reader", text(look.reader)}, {"what", text(look.what)}};
}

QJsonObject toObject(const EventDefinition& event)
{
    QJsonObject object{
        {"lamp", name(names::lampEvent[static_cast<std::size_t>(event.lamp)])},
        {"reaction", text(event.reaction)},
        {"onset", name(names::onsetRule[static_cast<std::size_t>(event.onset)])},
        {"thresholdSd", plain(event.thresholdSd)},
    };
    put(object, "limitMs", event.limitMs);
    putUnless(object, "lampLeadMs", event.lampLeadMs, 0);
    putUnless(object, "lampLeadWidthMs", event.lampLeadWidthMs, 0);
    putUnless(object, "onsetWidthMs", event.onsetWidthMs, 0);
    put(object, "commonHeight", event.commonHeight);
    putUnless(object, "scanOutTolerance", event.scanOutTolerance, usualScanOutTolerance);
    return object;
}

QJsonObject toObject(const Plan& plan)
{
    QJsonObject object{
        {"question", text(plan.question)},
        {"marginTime", text(plan.marginTime)},
        {"planTime", text(plan.planTime)},
        {"level", plain(plan.level)},
    };
    putReference(object, "baseline", plan.baseline);
    put(object, "marginMs", plan.marginMs);
    put(object, "trialsPerConfiguration", plan.trialsPerConfiguration);
    put(object, "runsPerConfiguration", plan.runsPerConfiguration);
    put(object, "baselineTrials", plan.baselineTrials);
    put(object, "baselineRuns", plan.baselineRuns);
    if (plan.basis)
        object.insert(QLatin1String("basis"), toObject(*plan.basis));
    return object;
}

QJsonObject toObject(const PublishSettings& publish)
{
    return {
        {"title", text(publish.title)},
        {"subtitle", text(publish.subtitle)},
        {"footnote", text(publish.footnote)},
        {"theme", name(names::chartTheme[static_cast<std::size_t>(publish.theme)])},
        {"folder", text(publish.folder)},
    };
}

QJsonObject toObject(const ClockEvidence& evidence)
{
    QJsonObject object{
        {"id", integer(evidence.id.value)},
        {"origin", name(names::origin[static_cast<std::size_t>(evidence.rate.origin)])},
        {"rate", plain(evidence.rate.rate)},
        {"relativeUncertainty", plain(evidence.rate.relativeUncertainty)},
        {"note", text(evidence.rate.note)},
        {"errorSources", toArray(evidence.errorSources, [](ErrorSourceId id) { return integer(id.value); })},
    };
    if (const auto& exact = evidence.rate.exactRate)
        object.insert(QLatin1String("exactRate"), QJsonObject{{"numerator", integer(exact->numerator())},
                                                              {"denominator", integer(exact->denominator())}});
    return object;
}

QJsonObject toObject(const Readout& readout)
{
    return {
        {"kind", name(names::readoutKind[static_cast<std::size_t>(readout.kind)])},
        {"lineTimeSeconds", plain(readout.lineTimeSeconds)},
        {"uncertaintySeconds", plain(readout.uncertaintySeconds)},
        {"direction", name(names::readoutDirection[static_cast<std::size_t>(readout.direction)])},
        {"note", text(readout.note)},
    };
}

QJsonObject toObject(const Region& region)
{
    return {
        {"id", integer(region.id.value)},
        {"kind", name(names::regionKind[static_cast<std::size_t>(region.kind)])},
        {"name", text(region.name)},
        {"x", region.x},
        {"y", region.y},
        {"width", region.width},
        {"height", region.height},
    };
}

QJsonObject toObject(const Mark& mark)
{
    return {
        {"frame", integer(mark.frame)},
        {"pictureHash", text(mark.pictureHash)},
        {"crops", QJsonObject{{"lampBefore", text(mark.crops.lampBefore)},
                              {"lampAt", text(mark.crops.lampAt)},
                              {"screenBefore", text(mark.crops.screenBefore)},
                              {"screenAt", text(mark.crops.screenAt)}}},
    };
}

QJsonObject toObject(const Reading& reading)
{
    QJsonObject object{
        {"id", integer(reading.id.value)}, {"reader", text(reading.reader)},   {"time", text(reading.time)},
        {"view", text(reading.view)},      {"blind", reading.blind},           {"doubtful", reading.doubtful},
        {"accepted", reading.accepted},    {"noReaction", reading.noReaction},
    };
    if (reading.press)
        object.insert(QLatin1String("press"), toObject(*reading.press));
    if (reading.response)
        object.insert(QLatin1String("response"), toObject(*reading.response));
    return object;
}

QJsonObject toObject(const std::optional<Entity>& entity)
{
    return entity ? std::visit([](const auto& value) { return toObject(value); }, *entity) : QJsonObject();
}

QJsonObject toObject(const Change& change)
{
    const std::optional<Entity>& present = change.after ? change.after : change.before;
    QJsonObject object;
    if (present)
        object.insert(QLatin1String("kind"), name(names::entity[present->index()]));
    if (change.before)
        object.insert(QLatin1String("before"), toObject(change.before));
    if (change.after)
        object.insert(QLatin1String("after"), toObject(change.after));
    return object;
}

} // namespace

QJsonObject toObject(const Settings& settings)
{
    QJsonObject object{
        {"title", text(settings.title)},
        {"reader", text(settings.reader)},
        {"event", toObject(settings.event)},
        {"plan", toObject(settings.plan)},
        {"rig", toObject(settings.rig)},
        {"publish", toObject(settings.publish)},
        {"looks", toArray(settings.looks, [](const Look& look) { return toObject(look); })},
    };
    if (settings.runSheet)
        object.insert(QLatin1String("runSheet"), toObject(*settings.runSheet));
    if (settings.reread)
        object.insert(QLatin1String("reread"), toObject(*settings.reread));
    if (!settings.packets.empty())
        object.insert(QLatin1String("packets"),
                      toArray(settings.packets, [](const Packet& packet) { return toObject(packet); }));
    return object;
}

QJsonObject toObject(const Configuration& configuration)
{
    QJsonObject object{
        {"id", integer(configuration.id.value)},  {"position", configuration.position},
        {"name", text(configuration.name)},       {"group", text(configuration.group)},
        {"texts", toObject(configuration.texts)},
    };
    put(object, "refreshHz", configuration.refreshHz);
    put(object, "gameFrameRate", configuration.gameFrameRate);
    put(object, "reactionHeight", configuration.reactionHeight);
    return object;
}

QJsonObject toObject(const Run& run)
{
    return {{"id", integer(run.id.value)}, {"name", text(run.name)}, {"note", text(run.note)}};
}

QJsonObject toObject(const ErrorSource& source)
{
    return {
        {"id", integer(source.id.value)},
        {"name", text(source.name)},
        {"relativeUncertainty", plain(source.relativeUncertainty)},
    };
}

QJsonObject toObject(const Clock& clock)
{
    QJsonObject object{
        {"id", integer(clock.id.value)},
        {"name", text(clock.name)},
        {"camera", toObject(clock.camera)},
        {"stamped", clock.stamped},
        {"slowDown", plain(clock.slowDown)},
        {"evidence", toArray(clock.evidence, [](const ClockEvidence& evidence) { return toObject(evidence); })},
    };
    if (clock.readout != readoutByNote(clock.camera))
        object.insert(QLatin1String("readout"), toObject(clock.readout));
    if (clock.settled)
        object.insert(QLatin1String("settled"), QJsonObject{{"evidence", integer(clock.settled->evidence.value)},
                                                            {"reason", text(clock.settled->reason)},
                                                            {"time", text(clock.settled->time)}});
    return object;
}

QJsonObject toObject(const Capture& capture)
{
    QJsonObject object{
        {"id", integer(capture.id.value)},
        {"position", capture.position},
        {"name", text(capture.name)},
        {"path", text(capture.path)},
        {"pictureFolder", capture.pictureFolder},
        {"sha256", text(capture.sha256)},
        {"frames", integer(capture.frames)},
        {"width", capture.width},
        {"height", capture.height},
        {"missing", toArray(capture.missing,
                            [](const Missing& gap) {
                                return QJsonObject{{"before", integer(gap.before)}, {"count", integer(gap.count)}};
                            })},
        {"notes", toArray(capture.notes, text)},
        {"regions", toArray(capture.regions, [](const Region& region) { return toObject(region); })},
    };
    putReference(object, "clock", capture.clock);
    putReference(object, "configuration", capture.configuration);
    putReference(object, "run", capture.run);
    if (!capture.furtherParts.empty())
        object.insert(QLatin1String("furtherParts"), toArray(capture.furtherParts, [](const FurtherPart& part) {
                          return QJsonObject{{"path", text(part.path)},
                                             {"firstFrame", integer(part.firstFrame)},
                                             {"gapKnown", part.gapKnown}};
                      }));
    if (capture.pictures)
        object.insert(
            QLatin1String("pictures"),
            QJsonObject{{"verdict", name(names::pictureVerdict[static_cast<std::size_t>(capture.pictures->verdict)])},
                        {"period", capture.pictures->period},
                        {"adding", capture.pictures->adding},
                        {"judged", integer(capture.pictures->judged)},
                        {"repeats", integer(capture.pictures->repeats)},
                        {"byLamp", capture.pictures->byLamp}});
    if (!capture.pieces.empty())
        object.insert(QLatin1String("pieces"), toArray(capture.pieces, [](const Piece& piece) {
                          QJsonObject each{{"firstFrame", integer(piece.firstFrame)}, {"fromStamps", piece.fromStamps}};
                          putReference(each, "clock", piece.clock);
                          if (piece.stepSeconds != 0)
                              each.insert(QLatin1String("stepSeconds"), plain(piece.stepSeconds));
                          if (piece.slowedBy != 1)
                              each.insert(QLatin1String("slowedBy"), piece.slowedBy);
                          return each;
                      }));
    if (!capture.rateTags.empty())
        object.insert(QLatin1String("rateTags"), toArray(capture.rateTags, [](const RateTag& tag) {
                          return QJsonObject{{"key", text(tag.key)}, {"value", text(tag.value)}};
                      }));
    if (capture.stream)
        object.insert(QLatin1String("stream"), *capture.stream);
    if (!capture.unknown.empty())
        object.insert(QLatin1String("unknown"), toArray(capture.unknown, [](const UnknownStretch& stretch) {
                          return QJsonObject{{"first", integer(stretch.first)},
                                             {"last", integer(stretch.last)},
                                             {"stampsTell", stretch.stampsTell},
                                             {"why", text(stretch.why)}};
                      }));
    if (capture.stampTickSeconds != 0)
        object.insert(QLatin1String("stampTickSeconds"), plain(capture.stampTickSeconds));
    if (!capture.stampSeconds.empty())
        object.insert(QLatin1String("stampSeconds"), toArray(capture.stampSeconds, [](double stamp) {
                          return std::isnan(stamp) ? QJsonValue() : QJsonValue(plain(stamp));
                      }));
    return object;
}

QJsonObject toObject(const Trial& trial)
{
    QJsonObject object{
        {"id", integer(trial.id.value)},
        {"capture", integer(trial.capture.value)},
        {"readings", toArray(trial.readings, [](const Reading& reading) { return toObject(reading); })},
        {"note", text(trial.note)},
    };
    putReference(object, "lamp", trial.lamp);
    putReference(object, "screen", trial.screen);
    putReference(object, "configuration", trial.configuration);
    putReference(object, "run", trial.run);
    putReference(object, "settled", trial.settled);
    if (trial.reject)
        object.insert(QLatin1String("reject"),
                      QJsonObject{{"reason", name(names::rejectReason[static_cast<std::size_t>(trial.reject->reason)])},
                                  {"note", text(trial.reject->note)},
                                  {"time", text(trial.reject->time)}});
    return object;
}

QJsonObject toObject(const Edit& edit)
{
    return {
        {"label", text(edit.label)},
        {"time", text(edit.time)},
        {"nextId", integer(edit.nextId)},
        {"changes", toArray(edit.changes, [](const Change& change) { return toObject(change); })},
    };
}

} // namespace session
