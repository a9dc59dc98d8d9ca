#include "core/session/sheet_json.h"
#include "core/session/entity_names.h"
#include "core/session/json_put.h"
#include "core/session/limits.h"

namespace session {

QJsonObject toObject(const PlanBasis& basis)
{
    QJsonObject object{{"from", QLatin1String(names::spreadFrom[static_cast<std::size_t>(basis.from)])},
                       {"power", basis.power},
                       {"runCost", plain(basis.runCost)}};
    put(object, "refreshHz", basis.refreshHz);
    put(object, "captureRate", basis.captureRate);
    put(object, "extraSdMs", basis.extraSdMs);
    put(object, "withinSdMs", basis.withinSdMs);
    put(object, "betweenSdMs", basis.betweenSdMs);
    put(object, "sharedMs", basis.sharedMs);
    put(object, "trialsPerRun", basis.trialsPerRun);
    put(object, "comparisons", basis.comparisons);
    return object;
}

PlanBasis readPlanBasis(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    PlanBasis basis;
    basis.from = fields.oneOf<SpreadFrom>("from", names::spreadFrom);
    basis.power = fields.number("power");
    basis.runCost = fields.number("runCost");
    basis.refreshHz = fields.optionalNumber("refreshHz");
    basis.captureRate = fields.optionalNumber("captureRate");
    basis.extraSdMs = fields.optionalNumber("extraSdMs");
    basis.withinSdMs = fields.optionalNumber("withinSdMs");
    basis.betweenSdMs = fields.optionalNumber("betweenSdMs");
    basis.sharedMs = fields.optionalNumber("sharedMs");
    basis.trialsPerRun = fields.optionalInteger("trialsPerRun");
    basis.comparisons = fields.optionalInteger("comparisons");
    fields.done();
    return basis;
}

QJsonObject toObject(const RunSheet& sheet)
{
    QJsonArray lines;
    for (const SheetLine& line : sheet.lines) {
        QJsonObject object{
            {"block", line.block}, {"configuration", integer(line.configuration.value)}, {"trials", line.trials}};
        putReference(object, "run", line.run);
        if (line.ticked)
            object.insert(QLatin1String("ticked"), true);
        lines.append(object);
    }
    return {
        {"seed", integer(sheet.seed)}, {"time", text(sheet.time)}, {"since", integer(sheet.since)}, {"lines", lines}};
}

RunSheet readRunSheet(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    RunSheet sheet;
    sheet.seed = fields.integer("seed");
    sheet.time = fields.text("time");
    sheet.since = fields.integer("since");
    fields.list("lines", limits::sheetLines, [&](const QJsonValue& v, const Place& p) {
        Fields line(v, p);
        SheetLine read;
        read.block = line.small("block");
        read.configuration = line.id<ConfigurationId>("configuration");
        read.trials = line.small("trials");
        read.run = line.optionalId<RunId>("run");
        read.ticked = line.has("ticked") && line.flag("ticked");
        line.done();
        sheet.lines.push_back(read);
    });
    fields.done();
    return sheet;
}

QJsonObject toObject(const Reread& reread)
{
    QJsonArray places;
    for (const RereadPlace& place : reread.places)
        places.append(QJsonObject{
            {"trial", integer(place.trial.value)}, {"first", integer(place.first)}, {"last", integer(place.last)}});
    QJsonObject object{{"seed", integer(reread.seed)},
                       {"time", text(reread.time)},
                       {"since", integer(reread.since)},
                       {"places", places}};
    if (!reread.packet.empty())
        object.insert(QLatin1String("packet"), text(reread.packet));
    return object;
}

Reread readReread(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Reread reread;
    reread.seed = fields.integer("seed");
    reread.time = fields.text("time");
    reread.since = fields.integer("since");
    if (fields.has("packet"))
        reread.packet = fields.text("packet");
    fields.list("places", limits::trials, [&](const QJsonValue& v, const Place& p) {
        Fields at(v, p);
        reread.places.push_back({at.id<TrialId>("trial"), at.integer("first"), at.integer("last")});
        at.done();
    });
    fields.done();
    return reread;
}

QJsonObject toObject(const Packet& packet)
{
    QJsonArray trials;
    for (const TrialId trial : packet.trials)
        trials.append(integer(trial.value));
    return {
        {"token", text(packet.token)}, {"time", text(packet.time)}, {"seed", integer(packet.seed)}, {"trials", trials}};
}

Packet readPacket(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    Packet packet;
    packet.token = fields.text("token");
    packet.time = fields.text("time");
    packet.seed = fields.integer("seed");
    fields.list("trials", limits::trials,
                [&](const QJsonValue& v, const Place& p) { packet.trials.push_back(TrialId{integerOf(v, p)}); });
    fields.done();
    return packet;
}

} // namespace session
