#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"

#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <algorithm>
#include <cmath>

namespace app {
namespace {

timing::ReferenceLamp lampOf(const Arguments& given)
{
    const QString frequency = QStringLiteral("lamp-frequency"), tolerance = QStringLiteral("lamp-tolerance");
    timing::ReferenceLamp lamp;
    lamp.frequency = given.positiveNumber(frequency, highestFrequency, "a number of flashes a second above 0");
    if (given.has(tolerance))
        lamp.tolerance = given.positiveNumber(tolerance, 100'000, "parts per million above 0 and up to 100000") * 1e-6;
    return lamp;
}

QJsonValue orNull(bool there, const QJsonValue& value) { return there ? value : QJsonValue(); }

QJsonObject toJson(const QString& path, const timing::Calibration& found, const timing::ReferenceLamp& lamp)
{
    const timing::ReferenceFit& fit = found.fit;
    QJsonArray residuals, edgeFrames, warnings;
    for (const timing::FittedEdge& edge : fit.edges) {
        if (!edge.used)
            continue;
        residuals.append(edge.residual);
        edgeFrames.append(qint64(edge.edge.frame.value));
    }
    for (const std::string& sentence : found.warnings())
        warnings.append(QString::fromStdString(sentence));
    QJsonValue leastSquares;
    if (fit.leastSquares)
        leastSquares = QJsonObject{{QStringLiteral("rate"), fit.leastSquares->rate},
                                   {QStringLiteral("standardUncertainty"), fit.leastSquares->standardUncertainty},
                                   {QStringLiteral("residualSd"), fit.leastSquares->residualSd}};
    const bool there = fit.rate.has_value();
    return {
        {QStringLiteral("path"), path},
        {QStringLiteral("lamp"),
         QJsonObject{{QStringLiteral("frequency"), lamp.frequency}, {QStringLiteral("tolerance"), lamp.tolerance}}},
        {QStringLiteral("rate"), orNull(there, fit.rate.value_or(0))},
        {QStringLiteral("standardUncertainty"), orNull(there, fit.standardUncertainty())},
        {QStringLiteral("interval95"), orNull(there, QJsonArray{fit.low95(), fit.high95()})},
        {QStringLiteral("possible"), orNull(there, QJsonArray{fit.lowest, fit.highest})},
        {QStringLiteral("leastSquares"), leastSquares},
        {QStringLiteral("edges"), qint64(fit.usedEdges())},
        {QStringLiteral("edgeFrames"), edgeFrames},
        {QStringLiteral("residuals"), residuals},
        {QStringLiteral("warnings"), warnings},
    };
}

void printText(const QString& path, const timing::Calibration& found, const timing::ReferenceLamp& lamp)
{
    const timing::ReferenceFit& fit = found.fit;
    printLine(path);
    const auto line = [](const char* name, const QString& value) {
        printLine(QStringLiteral("  %1 %2").arg(QLatin1String(name), -14).arg(value));
    };
    const auto figure = [](double value, int digits = 9) { return QString::number(value, 'g', digits); };
    line("edges", QStringLiteral("%1 of %2 used").arg(fit.usedEdges()).arg(fit.edges.size()));
    if (fit.rate) {
        line("capture rate", QStringLiteral("%1 a second, standard uncertainty %2 (%3 ppm)")
                                 .arg(figure(*fit.rate), figure(fit.standardUncertainty(), 2),
                                      figure(1e6 * fit.standardUncertainty() / *fit.rate, 2)));
        line("95 % interval", QStringLiteral("%1 to %2").arg(figure(fit.low95()), figure(fit.high95())));
        line(
            "of which lamp",
            lamp.tolerance > 0
                ? QStringLiteral("%1 ppm").arg(figure(1e6 * fit.lampUncertainty, 2))
                : QStringLiteral("nothing: its frequency is taken as exact; --lamp-tolerance PPM says how good it is"));
    }
    if (fit.leastSquares)
        line("least squares",
             QStringLiteral("%1 a second, standard uncertainty %2, residuals' standard deviation %3 camera frames")
                 .arg(figure(fit.leastSquares->rate), figure(fit.leastSquares->standardUncertainty, 2),
                      figure(fit.leastSquares->residualSd, 2)));
    for (const std::string& sentence : found.warnings())
        line("note", QString::fromStdString(sentence));
}

} // namespace

int clock(const Arguments& given)
{
    const QString path = given.onlyOperand(QStringLiteral("file"));
    const timing::ReferenceLamp lamp = lampOf(given);
    const media::Rect region = given.region().value();

    const auto footage = media::openFootage(path.toStdString());
    if (qint64(region.x) + region.width > footage->size.width
        || qint64(region.y) + region.height > footage->size.height)
        throw UsageError("the region reaches beyond the picture of " + std::to_string(footage->size.width) + " x "
                         + std::to_string(footage->size.height));
    const timing::StampPattern pattern = media::stampPatternOf(*footage);
    const timing::Calibration found =
        timing::calibrate(media::calibrationTraces(*footage, region), lamp, media::missingFramesOf(*footage, pattern),
                          media::rateEvidence(*footage, pattern));
    if (given.has(QStringLiteral("json")))
        printLine(QString::fromUtf8(QJsonDocument(toJson(path, found, lamp)).toJson(QJsonDocument::Compact)));
    else
        printText(path, found, lamp);
    if (!found.fit.rate)
        throw core::Error(core::ErrorKind::AtOdds, path.toStdString() + ": " + found.fit.refused);
    return Fine;
}

} // namespace app
