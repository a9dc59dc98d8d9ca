#include "app/inspect_stamps.h"
#include "app/commands.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"
#include "core/timing/stamp_steps.h"

#include <QJsonArray>

namespace app {
namespace {

QJsonArray frames(const std::vector<timing::FrameNumber>& list)
{
    QJsonArray array;
    for (const timing::FrameNumber frame : list)
        array.append(qint64(frame.value));
    return array;
}

QJsonValue orNull(const std::optional<double>& value) { return value ? QJsonValue(*value) : QJsonValue(); }

QJsonObject patternToJson(const timing::StampPattern& pattern)
{
    QJsonArray gaps;
    for (const timing::Gap& gap : pattern.gaps)
        gaps.append(QJsonObject{{QStringLiteral("before"), qint64(gap.before.value)},
                                {QStringLiteral("count"), qint64(gap.count.value)}});
    QJsonValue exact;
    if (pattern.exactStep)
        exact = QJsonArray{qint64(pattern.exactStep->numerator()), qint64(pattern.exactStep->denominator())};
    return {{QStringLiteral("stamped"), qint64(pattern.stamped)},
            {QStringLiteral("step"), orNull(pattern.step)},
            {QStringLiteral("exactStep"), exact},
            {QStringLiteral("relativeUncertainty"), pattern.relativeUncertainty},
            {QStringLiteral("irregular"), pattern.irregular},
            {QStringLiteral("variesAsRealTimes"), pattern.variesAsRealTimes},
            {QStringLiteral("gapsKnown"), pattern.gapsKnown},
            {QStringLiteral("gaps"), gaps},
            {QStringLiteral("unclear"), frames(pattern.unclear)},
            {QStringLiteral("repeats"), frames(pattern.repeats)},
            {QStringLiteral("backward"), frames(pattern.backward)},
            {QStringLiteral("unstamped"), frames(pattern.unstamped)}};
}

QString ms(double seconds) { return QString::number(seconds * 1000, 'g', 6); }

} // namespace

QJsonObject stampsToJson(const media::Footage& footage)
{
    const auto stamps = media::stampsOf(footage);
    const timing::StampSteps steps = timing::stampSteps(stamps, footage.timeBase);
    const timing::StampPattern pattern = timing::stampPattern(stamps, footage.timeBase);
    QJsonArray histogram, runs, pieces;
    for (const timing::StepBin& bin : steps.histogram)
        histogram.append(QJsonObject{{QStringLiteral("from"), bin.from},
                                     {QStringLiteral("to"), bin.to},
                                     {QStringLiteral("count"), qint64(bin.count)}});
    for (const timing::StepRun& run : steps.runs)
        runs.append(QJsonObject{{QStringLiteral("first"), qint64(run.first.value)},
                                {QStringLiteral("steps"), qint64(run.steps)},
                                {QStringLiteral("step"), run.seconds}});
    for (const timing::StampPiece& piece :
         media::capturePieces(footage, pattern, timing::stampPieces(stamps, footage.timeBase))) {
        QJsonObject each = patternToJson(piece.pattern);
        each.insert(QStringLiteral("first"), qint64(piece.first.value));
        each.insert(QStringLiteral("last"), qint64(piece.last.value));
        each.insert(QStringLiteral("slowedBy"), piece.divisor);
        pieces.append(each);
    }
    QJsonObject object = patternToJson(pattern);
    object.insert(QStringLiteral("steps"), QJsonObject{{QStringLiteral("count"), qint64(steps.steps)},
                                                       {QStringLiteral("mean"), steps.mean},
                                                       {QStringLiteral("median"), steps.median},
                                                       {QStringLiteral("sd"), steps.sd},
                                                       {QStringLiteral("shortest"), steps.shortest},
                                                       {QStringLiteral("longest"), steps.longest}});
    object.insert(QStringLiteral("histogram"), histogram);
    object.insert(QStringLiteral("runs"), runs);
    object.insert(QStringLiteral("allRuns"), qint64(steps.allRuns));
    object.insert(QStringLiteral("pieces"), pieces);
    return object;
}

void printStamps(const media::Footage& footage)
{
    const auto stamps = media::stampsOf(footage);
    const timing::StampPattern pattern = timing::stampPattern(stamps, footage.timeBase);
    const timing::StampSteps steps = timing::stampSteps(stamps, footage.timeBase);
    const auto line = [](const char* name, const QString& value) {
        printLine(QStringLiteral("  %1 %2").arg(QLatin1String(name), -14).arg(value));
    };
    if (steps.steps > 0)
        line("stamps", QStringLiteral("%1 steps from %2 to %3 ms, %4")
                           .arg(steps.steps)
                           .arg(ms(steps.shortest), ms(steps.longest),
                                pattern.step ? QStringLiteral("nominal %1 ms").arg(ms(*pattern.step))
                                             : QStringLiteral("no nominal step")));
    if (pattern.variesAsRealTimes)
        line("stamps", QStringLiteral("they vary as real times do"));
    const auto count = [&](const std::vector<timing::FrameNumber>& list, const char* what) {
        if (!list.empty())
            line("stamps", QStringLiteral("%1 %2, camera frame %3 first")
                               .arg(list.size())
                               .arg(QLatin1String(what))
                               .arg(list.front().value));
    };
    count(pattern.repeats, "equal to the one before");
    count(pattern.backward, "below the one before");
    count(pattern.unclear, "no whole number of steps after the one before");
    if (pattern.stamped > 0)
        count(pattern.unstamped, "lacking");
    for (const timing::StampPiece& piece :
         media::capturePieces(footage, pattern, timing::stampPieces(stamps, footage.timeBase)))
        line("piece",
             QStringLiteral("camera frames %1 to %2, %3%4")
                 .arg(piece.first.value)
                 .arg(piece.last.value)
                 .arg(piece.pattern.step ? QStringLiteral("stamps %1 ms apart").arg(ms(*piece.pattern.step))
                                         : QStringLiteral("stamps at changing distance"),
                      piece.divisor > 1 ? QStringLiteral(", a tag wants it played %1 times slower").arg(piece.divisor)
                                        : QString()));
}

} // namespace app
