#include "ui/desk/new_capture.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"
#include "core/session/limits.h"
#include "core/timing/stamp_pieces.h"
#include "ui/model/file_paths.h"

#include <QCoreApplication>
#include <QDir>
#include <QFileInfo>
#include <algorithm>
#include <cmath>
#include <limits>

namespace ui {

namespace {

/// Keys under which makers put their name and the model's; containers and makers differ.
constexpr const char* makerKeys[] = {"make", "com.apple.quicktime.make", "com.android.manufacturer", "manufacturer"};
constexpr const char* modelKeys[] = {"model", "com.apple.quicktime.model", "com.android.model", "camera_model_name"};

QString firstOf(const std::map<std::string, std::string>& tags, std::span<const char* const> keys)
{
    for (const char* key : keys)
        if (const auto found = tags.find(key); found != tags.end())
            if (const QString text = QString::fromStdString(found->second).trimmed(); !text.isEmpty())
                return text;
    return {};
}

std::string note(const QString& sentence) { return sentence.toStdString(); }

QString place(const media::Doubt& doubt)
{
    return doubt.first == doubt.last ? QCoreApplication::translate("NewCapture", "Frame %1: %2")
                                           .arg(doubt.first.value)
                                           .arg(QString::fromStdString(doubt.why))
                                     : QCoreApplication::translate("NewCapture", "Frames %1 to %2: %3")
                                           .arg(doubt.first.value)
                                           .arg(doubt.last.value)
                                           .arg(QString::fromStdString(doubt.why));
}

std::vector<std::string> notesOn(const media::Footage& footage, const timing::StampPattern& pattern)
{
    std::vector<std::string> notes;
    if (footage.fault)
        notes.push_back(*footage.fault);
    for (const media::Doubt& doubt : footage.doubts)
        notes.push_back(note(place(doubt)));
    if (footage.interlaced)
        notes.push_back(note(QCoreApplication::translate(
            "NewCapture",
            "It is interlaced: each picture holds two instants in alternate rows, so that a frame isn't one moment.")));
    for (const media::FormatChange& change : footage.formatChanges)
        notes.push_back(note(
            QCoreApplication::translate(
                "NewCapture", "From frame %1 on its pictures are %2 x %3, %4; regions drawn before don't fit there.")
                .arg(change.first.value)
                .arg(change.size.width)
                .arg(change.size.height)
                .arg(QString::fromStdString(change.pixelFormat))));
    const auto count = [&](const std::vector<timing::FrameNumber>& frames, const char* one, const char* several) {
        if (frames.empty())
            return;
        notes.push_back(note(
            frames.size() == 1
                ? QCoreApplication::translate("NewCapture", one).arg(frames.front().value)
                : QCoreApplication::translate("NewCapture", several).arg(frames.size()).arg(frames.front().value)));
    };
    count(pattern.unclear, "The step to frame %1 is no whole number of steps.",
          "The steps to %1 frames, frame %2 first, are no whole number of steps.");
    count(pattern.repeats, "Frame %1 has the stamp of the frame before it.",
          "%1 frames, frame %2 first, have the stamp of the frame before them.");
    count(pattern.backward, "The stamp of frame %1 lies before that of its predecessor.",
          "The stamps of %1 frames, frame %2 first, lie before those of their predecessors.");
    if (pattern.stamped > 0)
        count(pattern.unstamped, "Frame %1 has no stamp.", "%1 frames, frame %2 first, have no stamp.");
    return notes;
}

/// Where no time can be told: whole steps between stamps tell it even across damage, nothing else does.
std::vector<session::UnknownStretch> unknownStretches(const media::Footage& footage,
                                                      const timing::StampPattern& pattern)
{
    const std::int64_t last = footage.frameCount().value - 1;
    std::vector<session::UnknownStretch> unknown;
    const auto add = [&](std::int64_t from, std::int64_t to, bool stampsTell, const QString& why) {
        from = std::max<std::int64_t>(from, 0);
        to = std::min(to, last);
        if (from < to && unknown.size() < session::limits::unknown)
            unknown.push_back({from, to, stampsTell, why.toStdString()});
    };
    if (!pattern.gapsKnown)
        for (const media::Doubt& doubt : footage.doubts)
            add(doubt.first.value - 1, doubt.last.value + 1, false,
                QCoreApplication::translate("NewCapture", "the footage is damaged there, and frames may be missing"));
    for (const timing::FrameNumber frame : pattern.unclear)
        add(frame.value - 1, frame.value, true,
            QCoreApplication::translate("NewCapture", "the stamps leap there by no whole number of steps"));
    std::ranges::stable_sort(unknown, {}, &session::UnknownStretch::first);
    return unknown;
}

/// Parts beside the first one are told as it is; parts elsewhere by their whole path.
std::vector<session::FurtherPart> furtherParts(const media::Footage& footage, const QString& pathInSession)
{
    std::vector<session::FurtherPart> parts;
    for (std::size_t i = 1; i < footage.parts.size(); ++i) {
        const media::FootagePart& part = footage.parts[i];
        const QFileInfo file(fromPath(part.footage->path));
        const bool beside = part.footage->path.parent_path() == footage.path.parent_path();
        const QString path = beside
                                 ? QDir::cleanPath(QFileInfo(pathInSession).path() + QLatin1Char('/') + file.fileName())
                                 : file.absoluteFilePath();
        parts.push_back({path.toStdString(), part.first.value, footage.seams[i - 1].missing.has_value()});
    }
    return parts;
}

} // namespace

std::vector<session::Missing> missingFrames(const media::Footage& footage, const timing::StampPattern& pattern)
{
    // The two never speak of the same frames: pictures of a folder have no stamps of their own.
    std::vector<session::Missing> missing;
    for (const media::MissingFrames& hole : footage.numberingHoles)
        missing.push_back({hole.before.value, hole.count});
    if (footage.numberingHoles.empty())
        for (const timing::Gap& gap : pattern.gaps)
            missing.push_back({gap.before.value, gap.count});
    std::ranges::sort(missing, {}, &session::Missing::before);
    return missing;
}

QString cameraMode(const std::map<std::string, std::string>& tags, const std::vector<timing::RateEvidence>& evidence)
{
    QString camera = firstOf(tags, modelKeys);
    const QString maker = firstOf(tags, makerKeys);
    if (camera.isEmpty())
        camera = maker;
    else if (!maker.isEmpty() && !camera.startsWith(maker, Qt::CaseInsensitive))
        camera = maker + QLatin1Char(' ') + camera;
    // Only a nominal rate names a mode: a measured one differs from file to file.
    const auto tag = std::ranges::find(evidence, timing::Origin::Tag, &timing::RateEvidence::origin);
    if (camera.isEmpty() || tag == evidence.end())
        return {};
    const QString rate = QString::number(std::round(tag->rate * 1000) / 1000, 'g', 10);
    return QCoreApplication::translate("NewCapture", "%1, %2 mode").arg(camera, rate);
}

namespace {

/// What the stamps of one file say, its frames numbered from 0.
struct FileStamps {
    timing::StampPattern pattern;           ///< gaps and unclear steps of all pieces
    std::vector<timing::StampPiece> pieces; ///< where it changes its speed, as far as that isn't real time
    bool realTimes = false;                 ///< each stamp may be the time of its frame, though the steps vary
};

FileStamps fileStamps(const media::Footage& file)
{
    FileStamps stamps{media::stampPatternOf(file), {}, false};
    stamps.realTimes = stamps.pattern.variesAsRealTimes;
    if (!stamps.pattern.irregular) {
        stamps.pieces = media::capturePieces(file, stamps.pattern, {});
        return stamps;
    }
    stamps.pieces = media::stampPiecesOf(file);
    stamps.realTimes = timing::varyAsRealTimes(stamps.pieces);
    stamps.pattern.gapsKnown = !stamps.pieces.empty();
    for (const timing::StampPiece& piece : stamps.pieces) {
        stamps.pattern.gapsKnown = stamps.pattern.gapsKnown && (piece.pattern.gapsKnown || !piece.pattern.step);
        stamps.pattern.gaps.insert(stamps.pattern.gaps.end(), piece.pattern.gaps.begin(), piece.pattern.gaps.end());
        stamps.pattern.unclear.insert(stamps.pattern.unclear.end(), piece.pattern.unclear.begin(),
                                      piece.pattern.unclear.end());
    }
    if (stamps.realTimes)
        stamps.pieces.clear();
    else
        stamps.pieces = media::capturePieces(file, stamps.pattern, std::move(stamps.pieces));
    return stamps;
}

/// Pieces of one file, as the whole numbers its frames; what a piece steps by goes on where the one before steps alike.
void addPieces(session::NewCapture& added, const media::Footage& file, const FileStamps& stamps, std::int64_t first)
{
    const auto add = [&](std::int64_t frame, const timing::StampPattern& pattern, int divisor) {
        std::vector<session::Piece>& pieces = added.capture.pieces;
        const session::Piece piece{first + frame, {}, true, pattern.step.value_or(0), divisor};
        if (!pieces.empty()
            && (session::sameKind(pieces.back(), piece) || (piece.stepSeconds == 0 && pieces.back().stepSeconds == 0)))
            return;
        if (pieces.size() >= session::limits::pieces)
            return;
        pieces.push_back(piece);
        std::vector<timing::RateEvidence> evidence = media::rateEvidence(file, pattern);
        std::erase_if(evidence, [](const timing::RateEvidence& rate) { return rate.origin != timing::Origin::Stamps; });
        added.pieceEvidence.push_back(std::move(evidence));
    };
    if (stamps.pieces.empty())
        add(0, stamps.pattern, 1);
    for (const timing::StampPiece& piece : stamps.pieces)
        add(piece.first.value, piece.pattern, piece.divisor);
}

/// Where all keep one speed there are no pieces.
void dropSinglePiece(session::NewCapture& added)
{
    const auto steps =
        std::ranges::count_if(added.capture.pieces, [](const session::Piece& piece) { return piece.stepSeconds > 0; });
    if (added.capture.pieces.size() > 1 && steps > 0)
        return;
    added.capture.pieces.clear();
    added.pieceEvidence.clear();
}

/// What one file tells, its frames numbered from `first` on.
void addFile(session::Capture& capture, const media::Footage& file, const timing::StampPattern& pattern,
             std::int64_t first)
{
    for (session::Missing missing : missingFrames(file, pattern)) {
        missing.before += first;
        capture.missing.push_back(missing);
    }
    for (session::UnknownStretch stretch : unknownStretches(file, pattern)) {
        stretch.first += first;
        stretch.last += first;
        capture.unknown.push_back(std::move(stretch));
    }
    for (const std::string& sentence : notesOn(file, pattern))
        capture.notes.push_back(first == 0 ? sentence : fromPath(file.path.filename()).toStdString() + ": " + sentence);
}

void addSeam(session::Capture& capture, const media::Seam& seam)
{
    if (!seam.missing)
        capture.unknown.push_back({seam.before.value - 1, seam.before.value, false, seam.why});
    else if (*seam.missing > 0)
        capture.missing.push_back({seam.before.value, *seam.missing});
}

} // namespace

session::NewCapture describeCapture(const media::Footage& footage, const QString& pathInSession, const QString& sha256)
{
    session::NewCapture added;
    session::Capture& capture = added.capture;
    const QFileInfo file(fromPath(footage.path));
    capture.name = (footage.pictureFolder ? file.fileName() : file.completeBaseName()).toStdString();
    if (capture.name.empty())
        capture.name = file.fileName().toStdString();
    capture.path = pathInSession.toStdString();
    capture.pictureFolder = footage.pictureFolder;
    capture.furtherParts = furtherParts(footage, pathInSession);
    for (const media::VideoStream& stream : footage.streams)
        if (stream.index == footage.streamIndex && !stream.isDefault)
            capture.stream = stream.index;
    capture.sha256 = sha256.toStdString();
    capture.frames = footage.frameCount().value;
    capture.width = footage.size.width;
    capture.height = footage.size.height;
    const FileStamps stamps = fileStamps(footage.parts.empty() ? footage : *footage.parts.front().footage);
    if (footage.parts.empty()) {
        addFile(capture, footage, stamps.pattern, 0);
        addPieces(added, footage, stamps, 0);
        // Stamps that may be capture times are kept, so that a stamped clock works without the footage. Those of
        // several files begin anew with each, and are no times of the whole.
        if ((stamps.realTimes || stamps.pattern.irregular) && stamps.pattern.stamped > 0) {
            for (const media::FrameEntry& frame : footage.frames)
                capture.stampSeconds.push_back(frame.stamp ? frame.stamp->toDouble()
                                                           : std::numeric_limits<double>::quiet_NaN());
            capture.stampTickSeconds = stamps.pattern.tick;
        }
    }
    for (std::size_t i = 0; i < footage.parts.size(); ++i) {
        const media::FootagePart& part = footage.parts[i];
        if (i > 0)
            addSeam(capture, footage.seams[i - 1]);
        const FileStamps own = i == 0 ? stamps : fileStamps(*part.footage);
        addFile(capture, *part.footage, own.pattern, part.first.value);
        addPieces(added, *part.footage, own, part.first.value);
    }
    dropSinglePiece(added);
    if (std::ranges::any_of(capture.pieces, [](const session::Piece& piece) { return piece.slowedBy > 1; }))
        capture.notes.push_back(note(QCoreApplication::translate(
            "NewCapture", "Its slow-motion tag asks players to slow parts of it down: each part has a clock of its own "
                          "until you say on the clock page that the camera ran evenly.")));
    std::ranges::stable_sort(capture.missing, {}, &session::Missing::before);
    std::ranges::stable_sort(capture.unknown, {}, &session::UnknownStretch::first);
    added.evidence = media::rateEvidence(footage, stamps.pattern);
    for (const timing::TagReading& tag : media::tagReadings(footage))
        if (capture.rateTags.size() < session::limits::rateTags)
            capture.rateTags.push_back({tag.key, tag.value});
    if (stamps.realTimes && stamps.pattern.irregular && footage.parts.empty())
        if (const auto rate = timing::realTimeEvidence(media::stampsOf(footage)))
            added.evidence.insert(added.evidence.begin(), *rate);
    added.cameraMode = cameraMode(footage.tags, added.evidence).toStdString();
    return added;
}

} // namespace ui
