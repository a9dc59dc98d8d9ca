#include "app/arguments.h"
#include "app/commands.h"
#include "app/inspect_stamps.h"
#include "core/error.h"
#include "core/media/index/confirmation.h"
#include "core/media/index/parts.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"
#include "core/media/measure/trace.h"
#include "core/timing/picture_repeats.h"
#include "core/timing/rate_evidence.h"
#include "core/timing/stamp_pieces.h"

#include <algorithm>
#include <cstdio>
#include <unistd.h>

namespace app {
namespace {

/// What the command says of one file. Without footage the file couldn't be read and `fault` says why.
struct Inspection {
    QString path;
    std::shared_ptr<const media::Footage> footage;
    timing::StampPattern stamps;
    std::vector<timing::StampPiece> pieces; ///< of different speed, by stamps and tags; none where it plays at one
    std::vector<timing::RateEvidence> evidence;
    std::vector<timing::TagReading> tags;
    std::vector<timing::Gap> missing;
    std::optional<timing::PictureRepeats> pictures; ///< where all of it was decoded
    QString fault;
};

/// How far decoding is, on a terminal only.
class DecodedShare {
public:
    ~DecodedShare()
    {
        if (m_percent >= 0)
            std::fputs("\r                  \r", stderr);
    }
    void show(std::int64_t done, std::int64_t total)
    {
        const int percent = total > 0 ? static_cast<int>(100 * done / total) : 0;
        if (percent == m_percent || !isatty(STDERR_FILENO))
            return;
        m_percent = percent;
        std::fprintf(stderr, "\rdecoding, %d %%", percent);
        std::fflush(stderr);
    }

private:
    int m_percent = -1;
};

/// Decoded to its end: every frame is confirmed then, and its pictures tell whether they repeat.
std::shared_ptr<const media::Footage> decoded(const std::shared_ptr<const media::Footage>& scanned,
                                              timing::PictureRepeats& pictures)
{
    DecodedShare share;
    media::MovementMeter movement;
    const auto progress = [&](std::int64_t done, std::int64_t total) { share.show(done, total); };
    if (scanned->confirmed)
        media::traceRegions(*scanned, {}, {}, progress, {}, {.previous = false, .references = {}}, &movement);
    const auto footage =
        media::confirmFootage(
            scanned, {}, [&](std::int64_t done, std::int64_t total, timing::FrameCount) { progress(done, total); },
            [&](timing::FrameNumber n, const media::Picture& picture) { movement.add(n, picture); })
            .footage;
    pictures = timing::findRepeats(movement.take(*footage));
    return footage;
}

/// Several paths are the parts of one recording.
Inspection inspectFootage(const QStringList& paths, std::optional<int> stream, bool decode)
{
    Inspection found;
    found.path = paths.join(QStringLiteral(" + "));
    try {
        std::vector<std::filesystem::path> files;
        for (const QString& path : paths)
            files.emplace_back(path.toStdString());
        found.footage = media::scanParts(files, {}, {}, {stream, {}});
        if (decode)
            found.footage = decoded(found.footage, found.pictures.emplace());
    } catch (const core::Error& error) {
        found.fault = QString::fromUtf8(error.what());
        printProblem(error.what());
        return found;
    }
    const media::Footage& footage = *found.footage;
    const std::vector<timing::StampPiece> byStamps = media::stampPiecesOf(footage);
    found.stamps = media::stampPatternOf(footage);
    found.pieces = media::capturePieces(footage, found.stamps, byStamps);
    found.evidence = media::rateEvidence(footage, found.stamps);
    found.tags = media::tagReadings(footage);
    found.missing = found.stamps.gaps;
    for (const timing::StampPiece& piece : byStamps)
        found.missing.insert(found.missing.end(), piece.pattern.gaps.begin(), piece.pattern.gaps.end());
    found.missing.insert(found.missing.end(), footage.numberingHoles.begin(), footage.numberingHoles.end());
    for (const media::Seam& seam : footage.seams)
        if (seam.missing && seam.missing->value > 0
            && std::ranges::none_of(found.missing, [&](const timing::Gap& gap) { return gap.before == seam.before; }))
            found.missing.push_back({seam.before, *seam.missing});
    if (found.pictures && timing::isPattern(found.pictures->verdict) && !found.evidence.empty())
        found.evidence.push_back(timing::pictureEvidence(*found.pictures, found.evidence.front()));
    if (footage.fault)
        found.fault = QString::fromStdString(*footage.fault);
    return found;
}

/// Of what is said to be the rate, the best.
std::optional<double> bestRate(const std::vector<timing::RateEvidence>& evidence)
{
    return evidence.empty() ? std::nullopt : std::optional(evidence.front().rate);
}

QJsonObject picturesToJson(const timing::PictureRepeats& found, const std::vector<timing::RateEvidence>& evidence)
{
    static constexpr const char* verdicts[] = {"cantTell", "allAdd", "periodic", "blended", "irregular"};
    return {{QStringLiteral("verdict"), QLatin1String(verdicts[static_cast<std::size_t>(found.verdict)])},
            {QStringLiteral("period"), found.period},
            {QStringLiteral("adding"), found.adding},
            {QStringLiteral("judged"), qint64(found.judged)},
            {QStringLiteral("repeats"), framesToJson(found.repeats)},
            {QStringLiteral("sentence"), QString::fromStdString(found.sentence(bestRate(evidence)))}};
}

QJsonObject toJson(const Inspection& found, bool withStamps)
{
    // A file that can't be read has the same fields, without values, so that readers need no second shape.
    static const media::Footage nothing;
    const bool readable = found.footage != nullptr;
    const media::Footage& footage = readable ? *found.footage : nothing;
    const auto text = [&](const std::string& value) {
        return readable ? QJsonValue(QString::fromStdString(value)) : QJsonValue();
    };
    const auto number = [&](qint64 value) { return readable ? QJsonValue(value) : QJsonValue(); };
    const auto fraction = [&](const timing::Rational& value) {
        return readable ? QJsonValue(ratio(value)) : QJsonValue();
    };

    static constexpr const char* says[] = {"captureRate", "noRate", "nothing"};
    const QJsonArray evidence = toJsonArray(found.evidence, [&](const timing::RateEvidence& statement) {
        return QJsonObject{{QStringLiteral("origin"), QLatin1String(timing::label(statement.origin))},
                           {QStringLiteral("rate"), statement.rate},
                           {QStringLiteral("relativeUncertainty"), statement.relativeUncertainty},
                           {QStringLiteral("standardUncertainty"), statement.rate * statement.relativeUncertainty},
                           {QStringLiteral("agrees"), timing::agree(statement, found.evidence.front())},
                           {QStringLiteral("note"), QString::fromStdString(statement.note)}};
    });
    const QJsonArray tags = toJsonArray(found.tags, [](const timing::TagReading& tag) {
        return QJsonObject{{QStringLiteral("key"), QString::fromStdString(tag.key)},
                           {QStringLiteral("value"), QString::fromStdString(tag.value)},
                           {QStringLiteral("says"), QLatin1String(says[static_cast<std::size_t>(tag.says)])},
                           {QStringLiteral("rate"), tag.evidence ? QJsonValue(tag.evidence->rate) : QJsonValue()},
                           {QStringLiteral("meaning"), QString::fromStdString(tag.meaning)}};
    });
    const QJsonArray doubtful = toJsonArray(footage.doubts, [](const media::Doubt& doubt) {
        return QJsonObject{{QStringLiteral("first"), qint64(doubt.first.value)},
                           {QStringLiteral("last"), qint64(doubt.last.value)},
                           {QStringLiteral("why"), QString::fromStdString(doubt.why)}};
    });
    const QJsonArray streams = toJsonArray(footage.streams, [](const media::VideoStream& stream) {
        return QJsonObject{
            {QStringLiteral("index"), stream.index},
            {QStringLiteral("codec"), QString::fromStdString(stream.codec)},
            {QStringLiteral("width"), stream.size.width},
            {QStringLiteral("height"), stream.size.height},
            {QStringLiteral("seconds"), stream.seconds ? QJsonValue(ratio(*stream.seconds)) : QJsonValue()},
            {QStringLiteral("default"), stream.isDefault},
            {QStringLiteral("decodable"), stream.decodable}};
    });
    const QJsonArray changes = toJsonArray(footage.formatChanges, [](const media::FormatChange& change) {
        return QJsonObject{{QStringLiteral("first"), qint64(change.first.value)},
                           {QStringLiteral("width"), change.size.width},
                           {QStringLiteral("height"), change.size.height},
                           {QStringLiteral("pixelFormat"), QString::fromStdString(change.pixelFormat)}};
    });
    const QJsonArray seams = toJsonArray(footage.seams, [](const media::Seam& seam) {
        return QJsonObject{
            {QStringLiteral("before"), qint64(seam.before.value)},
            {QStringLiteral("missing"), seam.missing ? QJsonValue(qint64(seam.missing->value)) : QJsonValue()},
            {QStringLiteral("why"), QString::fromStdString(seam.why)}};
    });

    QJsonObject object{
        {QStringLiteral("path"), found.path},
        {QStringLiteral("container"), text(footage.container)},
        {QStringLiteral("stream"), number(footage.streamIndex)},
        {QStringLiteral("streams"), streams},
        {QStringLiteral("codec"), text(footage.codec)},
        {QStringLiteral("pixelFormat"), text(footage.pixelFormat)},
        {QStringLiteral("interlaced"), readable ? QJsonValue(footage.interlaced) : QJsonValue()},
        {QStringLiteral("width"), number(footage.size.width)},
        {QStringLiteral("height"), number(footage.size.height)},
        {QStringLiteral("rotation"), number(footage.rotation)},
        {QStringLiteral("pixelAspect"), fraction(footage.pixelAspect)},
        {QStringLiteral("timeBase"), fraction(footage.timeBase)},
        {QStringLiteral("frames"), number(footage.frameCount().value)},
        {QStringLiteral("confirmed"), readable ? QJsonValue(footage.confirmed) : QJsonValue()},
        {QStringLiteral("keyFrames"), framesToJson(footage.keyFrames())},
        {QStringLiteral("rateEvidence"), evidence},
        {QStringLiteral("rateTags"), tags},
        {QStringLiteral("missing"), gapsToJson(found.missing)},
        {QStringLiteral("pictures"),
         found.pictures ? QJsonValue(picturesToJson(*found.pictures, found.evidence)) : QJsonValue()},
        {QStringLiteral("stampPattern"),
         readable ? QJsonValue(stampsToJson(footage, found.stamps, found.pieces)) : QJsonValue()},
        {QStringLiteral("formatChanges"), changes},
        {QStringLiteral("seams"), seams},
        {QStringLiteral("doubtful"), doubtful},
        {QStringLiteral("fault"), found.fault.isEmpty() ? QJsonValue() : QJsonValue(found.fault)},
    };
    if (withStamps)
        object.insert(QStringLiteral("stamps"), toJsonArray(footage.frames, [](const media::FrameEntry& frame) {
                          return frame.stamp ? QJsonValue(ratio(*frame.stamp)) : QJsonValue();
                      }));
    return object;
}

QString describe(const media::VideoStream& stream, int chosen)
{
    QString text = QStringLiteral("%1: %2 x %3, %4")
                       .arg(stream.index)
                       .arg(stream.size.width)
                       .arg(stream.size.height)
                       .arg(QString::fromStdString(stream.codec));
    if (stream.seconds)
        text += QStringLiteral(", %1 s").arg(stream.seconds->toDouble(), 0, 'g', 6);
    if (!stream.decodable)
        text += QStringLiteral(", can't be decoded");
    if (stream.index == chosen)
        text += QStringLiteral(" (this one)");
    return text;
}

QString counted(qsizetype count, const char* one, const char* many)
{
    return QStringLiteral("%1 %2").arg(count).arg(QLatin1String(count == 1 ? one : many));
}

QString rateWords(const timing::RateEvidence& statement)
{
    return QStringLiteral("%1 a second by %2, standard uncertainty %3 %: %4")
        .arg(statement.rate, 0, 'g', 8)
        .arg(QLatin1String(timing::label(statement.origin)))
        .arg(100 * statement.relativeUncertainty, 0, 'g', 2)
        .arg(QString::fromStdString(statement.note));
}

/// What matters to who wants to know how long something took: is there a capture rate, and can it be trusted?
void printRate(const Inspection& found)
{
    if (found.evidence.empty()) {
        printField("capture rate",
                   QStringLiteral("nothing in the file tells it; declare it, or film a lamp of known frequency"));
        return;
    }
    for (const timing::RateEvidence& statement : found.evidence)
        printField("capture rate", rateWords(statement));
    if (std::ranges::any_of(found.evidence, [&](const timing::RateEvidence& statement) {
            return !timing::agree(statement, found.evidence.front());
        }))
        printField("dispute",
                   QStringLiteral("these don't agree, so none can be trusted before a lamp of known frequency tells"));
}

void printPicture(const media::Footage& footage)
{
    QString picture = QStringLiteral("%1 x %2, %3, %4 in %5")
                          .arg(footage.size.width)
                          .arg(footage.size.height)
                          .arg(QString::fromStdString(footage.pixelFormat), QString::fromStdString(footage.codec),
                               QString::fromStdString(footage.container));
    if (footage.rotation != 0)
        picture += QStringLiteral(", turned by %1 degrees for display").arg(footage.rotation);
    if (footage.pixelAspect != timing::Rational(1))
        picture += QStringLiteral(", pixel aspect %1").arg(QString::fromStdString(footage.pixelAspect.toString()));
    printField("picture", picture);
    if (footage.interlaced)
        printField("interlaced", QStringLiteral("each picture holds two instants, in alternate rows"));
    if (footage.streams.size() > 1)
        for (const media::VideoStream& stream : footage.streams)
            printField("stream", describe(stream, footage.streamIndex));
}

void printMissing(const Inspection& found, bool all)
{
    qint64 frames = 0;
    for (const timing::Gap& gap : found.missing)
        frames += gap.count.value;
    if (frames > 0)
        printField("missing", QStringLiteral("%1 at %2")
                                  .arg(counted(frames, "camera frame", "camera frames"),
                                       counted(std::ssize(found.missing), "place", "places")));
    if (all)
        for (const timing::Gap& gap : found.missing)
            printField("missing",
                       QStringLiteral("%1 before camera frame %2").arg(gap.count.value).arg(gap.before.value));
}

void printDoubts(const media::Footage& footage, bool all)
{
    if (!all && footage.doubts.size() > 1) {
        printField("doubtful", QStringLiteral("%1 of camera frames, %2 to %3 first: %4")
                                   .arg(counted(std::ssize(footage.doubts), "stretch", "stretches"))
                                   .arg(footage.doubts.front().first.value)
                                   .arg(footage.doubts.front().last.value)
                                   .arg(QString::fromStdString(footage.doubts.front().why)));
        return;
    }
    for (const media::Doubt& doubt : footage.doubts)
        printField("doubtful", QStringLiteral("%1 to %2: %3")
                                   .arg(doubt.first.value)
                                   .arg(doubt.last.value)
                                   .arg(QString::fromStdString(doubt.why)));
}

/// What few need: every tag, stamps, pieces, changes, seams.
void printRest(const Inspection& found)
{
    const media::Footage& footage = *found.footage;
    for (const media::FormatChange& change : footage.formatChanges)
        printField("changes", QStringLiteral("to %1 x %2, %3, from camera frame %4 on")
                                  .arg(change.size.width)
                                  .arg(change.size.height)
                                  .arg(QString::fromStdString(change.pixelFormat))
                                  .arg(change.first.value));
    printField("key frames", QString::number(footage.keyFrames().size()));
    if (footage.averageRate)
        printField("playback", QString::number(footage.averageRate->toDouble(), 'g', 7) + QStringLiteral(" a second"));
    for (const timing::TagReading& tag : found.tags)
        if (tag.says != timing::TagReading::Says::CaptureRate) // those stand above
            printField("tag", QStringLiteral("%1 says %2: %3")
                                  .arg(QString::fromStdString(tag.key), QString::fromStdString(tag.value),
                                       QString::fromStdString(tag.meaning)));
    printStamps(footage, found.stamps, found.pieces);
    for (const media::Seam& seam : footage.seams)
        printField(
            "seam",
            QStringLiteral("before camera frame %1: %2").arg(seam.before.value).arg(QString::fromStdString(seam.why)));
}

void printText(const Inspection& found, bool all, bool withStamps)
{
    if (!found.footage)
        return;
    const media::Footage& footage = *found.footage;
    printLine(found.path);
    printRate(found);
    if (found.pieces.size() > 1 && !all)
        printField("pieces",
                   QStringLiteral("%1 that play at different speeds, each with a clock of its own; --all lists them")
                       .arg(found.pieces.size()));
    printField("camera frames",
               QString::number(footage.frameCount().value)
                   + (footage.confirmed ? QStringLiteral(", all decoded")
                                        : QStringLiteral(" by the packets; --decode confirms them and looks "
                                                         "for repeated pictures")));
    if (found.pictures && (all || found.pictures->verdict != timing::PictureRepeats::Verdict::CantTell))
        printField("pictures", QString::fromStdString(found.pictures->sentence(bestRate(found.evidence))));
    printPicture(footage);
    printMissing(found, all);
    printDoubts(footage, all);
    if (all)
        printRest(found);
    if (!found.fault.isEmpty())
        printField("fault", found.fault);
    if (withStamps) {
        for (std::size_t i = 0; i < footage.frames.size(); ++i) {
            const auto& stamp = footage.frames[i].stamp;
            printLine(QStringLiteral("  %1 %2").arg(i).arg(stamp ? QString::fromStdString(stamp->toString())
                                                                 : QStringLiteral("none")));
        }
    }
}

} // namespace

int inspect(const Arguments& given)
{
    if (given.operands().isEmpty())
        throw UsageError("inspect needs at least one file or picture folder");
    const bool withStamps = given.has("stamps");

    bool failed = false;
    QJsonArray files;
    QList<QStringList> footages; // each the files of one
    if (given.has("joined"))
        footages.append(given.operands());
    else
        for (const QString& path : given.operands())
            footages.append(QStringList{path});
    for (const QStringList& paths : footages) {
        const Inspection found = inspectFootage(paths, given.stream(), given.has("decode"));
        failed = failed || !found.footage;
        if (given.has("json"))
            files.append(toJson(found, withStamps));
        else
            printText(found, given.has("all"), withStamps);
    }
    if (given.has("json"))
        printJson({{QStringLiteral("files"), files}});
    return failed ? InputFailed : Fine;
}

} // namespace app
