#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"

namespace app {
namespace {

QJsonObject toJson(const QString& path, const timing::Calibration& found, const timing::ReferenceLamp& lamp)
{
    const timing::ReferenceFit& fit = found.fit;
    QJsonArray residuals, edgeFrames;
    for (const timing::FittedEdge& edge : fit.edges) {
        if (!edge.used)
            continue;
        residuals.append(edge.residual);
        edgeFrames.append(qint64(edge.edge.frame.value));
    }
    QJsonValue leastSquares;
    if (fit.leastSquares)
        leastSquares = QJsonObject{{QStringLiteral("rate"), fit.leastSquares->rate},
                                   {QStringLiteral("standardUncertainty"), fit.leastSquares->standardUncertainty},
                                   {QStringLiteral("residualSd"), fit.leastSquares->residualSd}};
    const auto known = [&](const QJsonValue& value) { return fit.rate ? value : QJsonValue(); };
    return {
        {QStringLiteral("path"), path},
        {QStringLiteral("lamp"),
         QJsonObject{{QStringLiteral("frequency"), lamp.frequency}, {QStringLiteral("tolerance"), lamp.tolerance}}},
        {QStringLiteral("rate"), orNull(fit.rate)},
        {QStringLiteral("standardUncertainty"), known(fit.standardUncertainty())},
        {QStringLiteral("interval95"), known(QJsonArray{fit.low95(), fit.high95()})},
        {QStringLiteral("possible"), known(QJsonArray{fit.lowest, fit.highest})},
        {QStringLiteral("leastSquares"), leastSquares},
        {QStringLiteral("edges"), qint64(fit.usedEdges())},
        {QStringLiteral("edgeFrames"), edgeFrames},
        {QStringLiteral("residuals"), residuals},
        {QStringLiteral("warnings"), toJsonArray(found.warnings(), QString::fromStdString)},
    };
}

void printText(const QString& path, const timing::Calibration& found, const timing::ReferenceLamp& lamp)
{
    const timing::ReferenceFit& fit = found.fit;
    printLine(path);
    const auto figure = [](double value, int digits = 9) { return QString::number(value, 'g', digits); };
    printField("edges", QStringLiteral("%1 of %2 used").arg(fit.usedEdges()).arg(fit.edges.size()));
    if (fit.rate) {
        printField("capture rate", QStringLiteral("%1 a second, standard uncertainty %2 (%3 ppm)")
                                       .arg(figure(*fit.rate), figure(fit.standardUncertainty(), 2),
                                            figure(1e6 * fit.standardUncertainty() / *fit.rate, 2)));
        printField("95 % interval", QStringLiteral("%1 to %2").arg(figure(fit.low95()), figure(fit.high95())));
        printField(
            "of which lamp",
            lamp.tolerance > 0
                ? QStringLiteral("%1 ppm").arg(figure(1e6 * fit.lampUncertainty, 2))
                : QStringLiteral("nothing: its frequency is taken as exact; --lamp-tolerance PPM says how good it is"));
    }
    if (fit.leastSquares)
        printField(
            "least squares",
            QStringLiteral("%1 a second, standard uncertainty %2, residuals' standard deviation %3 camera frames")
                .arg(figure(fit.leastSquares->rate), figure(fit.leastSquares->standardUncertainty, 2),
                     figure(fit.leastSquares->residualSd, 2)));
    for (const std::string& sentence : found.warnings())
        printField("note", QString::fromStdString(sentence));
}

} // namespace

int clock(const Arguments& given)
{
    const QString path = given.onlyOperand("file");
    const timing::ReferenceLamp lamp = given.light("lamp-frequency", "lamp-tolerance", "flashes");
    const auto footage = media::openFootage(path.toStdString());
    const media::Rect region = given.regionIn(footage->size);
    const timing::StampPattern pattern = media::stampPatternOf(*footage);
    const timing::Calibration found =
        timing::calibrate(media::calibrationTraces(*footage, region), lamp, media::missingFramesOf(*footage, pattern),
                          media::rateEvidence(*footage, pattern));
    if (given.has("json"))
        printJson(toJson(path, found, lamp));
    else
        printText(path, found, lamp);
    if (!found.fit.rate)
        throw core::Error(core::ErrorKind::AtOdds, path.toStdString() + ": " + found.fit.refused);
    return Fine;
}

} // namespace app
