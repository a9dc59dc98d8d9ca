#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"
#include "core/media/measure/row_profiles.h"

#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <algorithm>

namespace app {
namespace {

timing::FrameNumber firstOf(const Arguments& given, const media::Footage& footage)
{
    const QString option = QStringLiteral("from-frame");
    if (!given.has(option))
        return {0};
    bool isNumber = false;
    const qlonglong frame = given.value(option).toLongLong(&isNumber);
    if (!isNumber || frame < 0 || frame >= footage.frameCount().value)
        throw UsageError("--from-frame takes a frame of the footage, 0 to "
                         + std::to_string(footage.frameCount().value - 1) + ", \"" + given.value(option).toStdString()
                         + "\" isn't one");
    return {frame};
}

/// As given, else the best that the file says.
timing::BandContext contextOf(const Arguments& given, const media::Footage& footage)
{
    timing::BandContext context;
    context.height = footage.size.height;
    if (given.has(QStringLiteral("capture-rate"))) {
        context.captureRate = given.positiveNumber(QStringLiteral("capture-rate"), highestFrequency,
                                                   "a number of camera frames a second above 0");
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
    QJsonArray warnings;
    if (!fit.refused.empty())
        warnings.append(QString::fromStdString(fit.refused));
    for (const std::string& remark : fit.remarks)
        warnings.append(QString::fromStdString(remark));
    const bool there = fit.lineTime.has_value();
    const auto orNull = [&](double value) { return there ? QJsonValue(value) : QJsonValue(); };
    return {{QStringLiteral("path"), path},
            {QStringLiteral("light"), QJsonObject{{QStringLiteral("frequency"), light.frequency},
                                                  {QStringLiteral("tolerance"), light.tolerance}}},
            {QStringLiteral("lineTimeSeconds"), orNull(there ? fit.lineTime->count() : 0)},
            {QStringLiteral("standardUncertaintySeconds"), orNull(fit.standardUncertainty.count())},
            {QStringLiteral("rowsPerBand"), orNull(fit.rowsPerBand)},
            {QStringLiteral("direction"), there ? QJsonValue(QLatin1String(orderWords(fit.order))) : QJsonValue()},
            {QStringLiteral("pictures"), fit.pictures},
            {QStringLiteral("explained"), fit.explained},
            {QStringLiteral("warnings"), warnings}};
}

void printText(const QString& path, const timing::LineTimeFit& fit, const timing::ReferenceLamp& light)
{
    printLine(path);
    const auto line = [](const char* name, const QString& value) {
        printLine(QStringLiteral("  %1 %2").arg(QLatin1String(name), -14).arg(value));
    };
    const auto figure = [](double value, int digits) { return QString::number(value, 'g', digits); };
    line("pictures", QString::number(fit.pictures));
    if (fit.lineTime) {
        line("bands", QStringLiteral("%1 rows from one to the next; they explain %2 % of what changes")
                          .arg(figure(fit.rowsPerBand, 7))
                          .arg(100 * fit.explained, 0, 'f', 1));
        line("line time",
             QStringLiteral("%1 \u00b5s, standard uncertainty %2 \u00b5s")
                 .arg(figure(1e6 * fit.lineTime->count(), 7), figure(1e6 * fit.standardUncertainty.count(), 2)));
        line("of which light",
             light.tolerance > 0
                 ? QStringLiteral("%1 ppm").arg(figure(1e6 * fit.lightUncertainty, 2))
                 : QStringLiteral(
                     "nothing: its frequency is taken as exact; --bands-tolerance PPM says how good it is"));
        line("direction", QLatin1String(orderWords(fit.order)));
    }
    for (const std::string& remark : fit.remarks)
        line("note", QString::fromStdString(remark));
}

} // namespace

int lineTime(const Arguments& given)
{
    const QString frequency = QStringLiteral("bands"), tolerance = QStringLiteral("bands-tolerance");
    const QString path = given.onlyOperand(QStringLiteral("file"));
    timing::ReferenceLamp light;
    light.frequency = given.positiveNumber(frequency, highestFrequency, "a number of pulses a second above 0");
    if (given.has(tolerance))
        light.tolerance = given.positiveNumber(tolerance, 100'000, "parts per million above 0 and up to 100000") * 1e-6;

    const auto footage = media::openFootage(path.toStdString());
    const auto profiles =
        media::rowProfiles(footage, given.regionIn(footage->size), firstOf(given, *footage), media::usualProfiles);
    const timing::LineTimeFit fit = timing::fitLineTime(profiles, light, contextOf(given, *footage));
    if (given.has(QStringLiteral("json")))
        printLine(QString::fromUtf8(QJsonDocument(toJson(path, fit, light)).toJson(QJsonDocument::Compact)));
    else
        printText(path, fit, light);
    if (!fit.lineTime)
        throw core::Error(core::ErrorKind::AtOdds, path.toStdString() + ": " + fit.refused);
    return Fine;
}

} // namespace app
