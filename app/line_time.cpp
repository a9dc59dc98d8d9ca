#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"
#include "core/media/measure/row_profiles.h"

#include <algorithm>

namespace app {
namespace {

/// As given, else the best that the file says.
timing::BandContext contextOf(const Arguments& given, const media::Footage& footage)
{
    timing::BandContext context;
    context.height = footage.size.height;
    if (given.has("capture-rate")) {
        context.captureRate =
            given.positiveNumber("capture-rate", highestFrequency, "a number of camera frames a second above 0");
        return context;
    }
    const std::vector<timing::RateEvidence> evidence = media::rateEvidence(footage, media::stampPatternOf(footage));
    const auto best = std::ranges::min_element(evidence, {}, &timing::RateEvidence::origin);
    if (best != evidence.end()) {
        context.captureRate = best->rate;
        context.captureRateU = best->relativeUncertainty;
    }
    return context;
}

const char* orderWords(timing::ReadoutOrder order)
{
    switch (order) {
    case timing::ReadoutOrder::FirstRowFirst: return "first row first";
    case timing::ReadoutOrder::LastRowFirst: return "last row first";
    case timing::ReadoutOrder::Unknown: break;
    }
    return "unknown";
}

QJsonObject toJson(const QString& path, const timing::LineTimeFit& fit, const timing::ReferenceLamp& light)
{
    QJsonArray warnings = toJsonArray(fit.remarks, QString::fromStdString);
    if (!fit.refused.empty())
        warnings.prepend(QString::fromStdString(fit.refused));
    const auto known = [&](const QJsonValue& value) { return fit.lineTime ? value : QJsonValue(); };
    return {{QStringLiteral("path"), path},
            {QStringLiteral("light"), QJsonObject{{QStringLiteral("frequency"), light.frequency},
                                                  {QStringLiteral("tolerance"), light.tolerance}}},
            {QStringLiteral("lineTimeSeconds"), known(fit.lineTime.value_or(timing::Seconds{0}).count())},
            {QStringLiteral("standardUncertaintySeconds"), known(fit.standardUncertainty.count())},
            {QStringLiteral("rowsPerBand"), known(fit.rowsPerBand)},
            {QStringLiteral("direction"), known(QLatin1String(orderWords(fit.order)))},
            {QStringLiteral("pictures"), fit.pictures},
            {QStringLiteral("explained"), fit.explained},
            {QStringLiteral("warnings"), warnings}};
}

void printText(const QString& path, const timing::LineTimeFit& fit, const timing::ReferenceLamp& light)
{
    printLine(path);
    const auto figure = [](double value, int digits) { return QString::number(value, 'g', digits); };
    printField("pictures", QString::number(fit.pictures));
    if (fit.lineTime) {
        printField("bands", QStringLiteral("%1 rows from one to the next; they explain %2 % of what changes")
                                .arg(figure(fit.rowsPerBand, 7))
                                .arg(100 * fit.explained, 0, 'f', 1));
        printField("line time",
                   QStringLiteral("%1 \u00b5s, standard uncertainty %2 \u00b5s")
                       .arg(figure(1e6 * fit.lineTime->count(), 7), figure(1e6 * fit.standardUncertainty.count(), 2)));
        printField("of which light",
                   light.tolerance > 0
                       ? QStringLiteral("%1 ppm").arg(figure(1e6 * fit.lightUncertainty, 2))
                       : QStringLiteral(
                           "nothing: its frequency is taken as exact; --bands-tolerance PPM says how good it is"));
        printField("direction", QLatin1String(orderWords(fit.order)));
    }
    for (const std::string& remark : fit.remarks)
        printField("note", QString::fromStdString(remark));
}

} // namespace

int lineTime(const Arguments& given)
{
    const QString path = given.onlyOperand("file");
    const timing::ReferenceLamp light = given.light("bands", "bands-tolerance", "pulses");

    const auto footage = media::openFootage(path.toStdString());
    const std::int64_t last = footage->frameCount().value - 1;
    const timing::FrameNumber first{
        given.wholeNumber("from-frame", 0, last, "a frame of the footage, 0 to " + std::to_string(last)).value_or(0)};
    const auto profiles = media::rowProfiles(footage, given.regionIn(footage->size), first, media::usualProfiles);
    const timing::LineTimeFit fit = timing::fitLineTime(profiles, light, contextOf(given, *footage));
    if (given.has("json"))
        printJson(toJson(path, fit, light));
    else
        printText(path, fit, light);
    if (!fit.lineTime)
        throw core::Error(core::ErrorKind::AtOdds, path.toStdString() + ": " + fit.refused);
    return Fine;
}

} // namespace app
