#include "app/inspect_stamps.h"
#include "app/commands.h"
#include "core/media/measure/calibration_traces.h"
#include "core/timing/stamp_steps.h"

namespace app {
namespace {

QJsonObject patternToJson(const timing::StampPattern& pattern)
{
    return {{QStringLiteral("stamped"), qint64(pattern.stamped)},
            {QStringLiteral("step"), orNull(pattern.step)},
            {QStringLiteral("exactStep"), pattern.exactStep ? QJsonValue(ratio(*pattern.exactStep)) : QJsonValue()},
            {QStringLiteral("relativeUncertainty"), pattern.relativeUncertainty},
            {QStringLiteral("irregular"), pattern.irregular},
            {QStringLiteral("variesAsRealTimes"), pattern.variesAsRealTimes},
            {QStringLiteral("gapsKnown"), pattern.gapsKnown},
            {QStringLiteral("gaps"), gapsToJson(pattern.gaps)},
            {QStringLiteral("unclear"), framesToJson(pattern.unclear)},
            {QStringLiteral("repeats"), framesToJson(pattern.repeats)},
            {QStringLiteral("backward"), framesToJson(pattern.backward)},
            {QStringLiteral("unstamped"), framesToJson(pattern.unstamped)}};
}

QString ms(double seconds) { return QString::number(seconds * 1000, 'g', 6); }

} // namespace

QJsonArray ratio(const timing::Rational& value) { return {qint64(value.numerator()), qint64(value.denominator())}; }

QJsonArray framesToJson(const std::vector<timing::FrameNumber>& frames)
{
    return toJsonArray(frames, [](timing::FrameNumber frame) { return qint64(frame.value); });
}

QJsonArray gapsToJson(const std::vector<timing::Gap>& gaps)
{
    return toJsonArray(gaps, [](const timing::Gap& gap) {
        return QJsonObject{{QStringLiteral("before"), qint64(gap.before.value)},
                           {QStringLiteral("count"), qint64(gap.count.value)}};
    });
}

QJsonObject stampsToJson(const media::Footage& footage, const timing::StampPattern& pattern,
                         const std::vector<timing::StampPiece>& pieces)
{
    const timing::StampSteps steps = timing::stampSteps(media::stampsOf(footage), footage.timeBase);
    const QJsonArray histogram = toJsonArray(steps.histogram, [](const timing::StepBin& bin) {
        return QJsonObject{{QStringLiteral("from"), bin.from},
                           {QStringLiteral("to"), bin.to},
                           {QStringLiteral("count"), qint64(bin.count)}};
    });
    const QJsonArray runs = toJsonArray(steps.runs, [](const timing::StepRun& run) {
        return QJsonObject{{QStringLiteral("first"), qint64(run.first.value)},
                           {QStringLiteral("steps"), qint64(run.steps)},
                           {QStringLiteral("step"), run.seconds}};
    });
    const auto pieceToJson = [](const timing::StampPiece& piece) {
        QJsonObject each = patternToJson(piece.pattern);
        each.insert(QStringLiteral("first"), qint64(piece.first.value));
        each.insert(QStringLiteral("last"), qint64(piece.last.value));
        each.insert(QStringLiteral("slowedBy"), piece.divisor);
        return each;
    };
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
    object.insert(QStringLiteral("pieces"), toJsonArray(pieces, pieceToJson));
    return object;
}

void printStamps(const media::Footage& footage, const timing::StampPattern& pattern,
                 const std::vector<timing::StampPiece>& pieces)
{
    const timing::StampSteps steps = timing::stampSteps(media::stampsOf(footage), footage.timeBase);
    if (steps.steps > 0)
        printField("stamps", QStringLiteral("%1 steps from %2 to %3 ms, %4")
                                 .arg(steps.steps)
                                 .arg(ms(steps.shortest), ms(steps.longest),
                                      pattern.step ? QStringLiteral("nominal %1 ms").arg(ms(*pattern.step))
                                                   : QStringLiteral("no nominal step")));
    if (pattern.variesAsRealTimes)
        printField("stamps", QStringLiteral("they vary as real times do"));
    const auto count = [&](const std::vector<timing::FrameNumber>& list, const char* what) {
        if (!list.empty())
            printField("stamps", QStringLiteral("%1 %2, camera frame %3 first")
                                     .arg(list.size())
                                     .arg(QLatin1String(what))
                                     .arg(list.front().value));
    };
    count(pattern.repeats, "equal to the one before");
    count(pattern.backward, "below the one before");
    count(pattern.unclear, "no whole number of steps after the one before");
    if (pattern.stamped > 0)
        count(pattern.unstamped, "lacking");
    for (const timing::StampPiece& piece : pieces)
        printField("piece",
                   QStringLiteral("camera frames %1 to %2, %3%4")
                       .arg(piece.first.value)
                       .arg(piece.last.value)
                       .arg(piece.pattern.step ? QStringLiteral("stamps %1 ms apart").arg(ms(*piece.pattern.step))
                                               : QStringLiteral("stamps at changing distance"),
                            piece.divisor > 1
                                ? QStringLiteral(", a tag wants it played %1 times slower").arg(piece.divisor)
                                : QString()));
}

} // namespace app
