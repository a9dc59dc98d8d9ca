#include "core/reading/new_capture.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"
#include "core/reading/path_text.h"
#include "core/session/limits.h"
#include "core/timing/stamp_pieces.h"

#include <QString>
#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

namespace reading {

namespace {

/// Keys under which makers put their name and the model's; containers and makers differ.
constexpr const char* makerKeys[] = {"make", "com.apple.quicktime.make", "com.android.manufacturer", "manufacturer"};
constexpr const char* modelKeys[] = {"model", "com.apple.quicktime.model", "com.android.model", "camera_model_name"};

constexpr qsizetype longestNote = 2'000;

/// A tag may hold anything at any length; names of the session may not.
QString printable(const std::string& tag)
{
    constexpr qsizetype longest = 100;
    QString text = QString::fromStdString(tag);
    for (QChar& letter : text)
        if (letter.category() == QChar::Other_Control)
            letter = QLatin1Char(' ');
    return text.simplified().left(longest);
}

QString firstOf(const std::map<std::string, std::string>& tags, std::span<const char* const> keys)
{
    for (const char* key : keys)
        if (const auto found = tags.find(key); found != tags.end())
            if (const QString text = printable(found->second); !text.isEmpty())
                return text;
    return {};
}

std::string numbered(timing::FrameNumber frame) { return std::to_string(frame.value); }

std::string place(const media::Doubt& doubt)
{
    return (doubt.first == doubt.last ? "Frame " + numbered(doubt.first)
                                      : "Frames " + numbered(doubt.first) + " to " + numbered(doubt.last))
           + ": " + doubt.why;
}

std::vector<std::string> notesOn(const media::Footage& footage, const timing::StampPattern& pattern)
{
    std::vector<std::string> notes;
    if (footage.fault)
        notes.push_back(*footage.fault);
    for (const media::Doubt& doubt : footage.doubts)
        notes.push_back(place(doubt));
    if (footage.interlaced)
        notes.push_back(
            "It is interlaced: each picture holds two instants in alternate rows, so that a frame isn't one moment.");
    for (const media::FormatChange& change : footage.formatChanges)
        notes.push_back("From frame " + numbered(change.first) + " on its pictures are "
                        + std::to_string(change.size.width) + " x " + std::to_string(change.size.height) + ", "
                        + change.pixelFormat + "; regions drawn before don't fit there.");
    const auto count = [&](const std::vector<timing::FrameNumber>& frames, const std::string& before,
                           const std::string& after, const std::string& severalBefore,
                           const std::string& severalAfter) {
        if (frames.empty())
            return;
        const std::string first = numbered(frames.front());
        notes.push_back(frames.size() == 1 ? before + first + after
                                           : severalBefore + std::to_string(frames.size()) + " frames, frame " + first
                                                 + " first, " + severalAfter);
    };
    count(pattern.unclear, "The step to frame ", " is no whole number of steps.", "The steps to ",
          "are no whole number of steps.");
    count(pattern.repeats, "Frame ", " has the stamp of the frame before it.", "",
          "have the stamp of the frame before them.");
    count(pattern.backward, "The stamp of frame ", " lies before that of its predecessor.", "The stamps of ",
          "lie before those of their predecessors.");
    if (pattern.stamped > 0)
        count(pattern.unstamped, "Frame ", " has no stamp.", "", "have no stamp.");
    return notes;
}

/// Where no time can be told: whole steps between stamps tell it even across damage, nothing else does.
std::vector<session::UnknownStretch> unknownStretches(const media::Footage& footage,
                                                      const timing::StampPattern& pattern)
{
    constexpr timing::FrameCount one{1};
    const timing::FrameNumber last{footage.frameCount().value - 1};
    std::vector<session::UnknownStretch> unknown;
    const auto add = [&](timing::FrameNumber from, timing::FrameNumber to, bool stampsTell, const char* why) {
        from = std::max(from, timing::FrameNumber{});
        to = std::min(to, last);
        if (from < to && unknown.size() < session::limits::unknown)
            unknown.push_back({from, to, stampsTell, why});
    };
    if (!pattern.gapsKnown)
        for (const media::Doubt& doubt : footage.doubts)
            add(doubt.first - one, doubt.last + one, false, "the footage is damaged there, and frames may be missing");
    for (const timing::FrameNumber frame : pattern.unclear)
        add(frame - one, frame, true, "the stamps leap there by no whole number of steps");
    std::ranges::stable_sort(unknown, {}, &session::UnknownStretch::first);
    return unknown;
}

/// Parts beside the first one are told as it is; parts elsewhere by their whole path.
std::vector<session::FurtherPart> furtherParts(const media::Footage& footage, const std::string& pathInSession)
{
    namespace fs = std::filesystem;
    std::vector<session::FurtherPart> parts;
    for (std::size_t i = 1; i < footage.parts.size(); ++i) {
        const media::FootagePart& part = footage.parts[i];
        const fs::path& file = part.footage->path;
        const bool beside = file.parent_path() == footage.path.parent_path();
        const fs::path path =
            beside ? (fs::path(pathInSession).parent_path() / file.filename()).lexically_normal() : fs::absolute(file);
        parts.push_back({textOf(path), part.first, footage.seams[i - 1].missing.has_value()});
    }
    return parts;
}

/// Maker and model as far as the tags name them.
QString cameraOf(const std::map<std::string, std::string>& tags)
{
    QString camera = firstOf(tags, modelKeys);
    const QString maker = firstOf(tags, makerKeys);
    if (camera.isEmpty())
        camera = maker;
    else if (!maker.isEmpty() && !camera.startsWith(maker, Qt::CaseInsensitive))
        camera = maker + QLatin1Char(' ') + camera;
    return camera;
}

/// "Bench camera X1, 960 mode" where the tags name maker or model and a rate; empty where they don't.
std::string cameraMode(const QString& camera, const std::vector<timing::RateEvidence>& evidence)
{
    // Only a nominal rate names a mode: a measured one differs from file to file.
    const auto tag = std::ranges::find(evidence, timing::Origin::Tag, &timing::RateEvidence::origin);
    if (camera.isEmpty() || tag == evidence.end())
        return {};
    const QString rate = QString::number(std::round(tag->rate * 1000) / 1000, 'g', 10);
    return (camera + QLatin1String(", ") + rate + QLatin1String(" mode")).toStdString();
}

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

/// Pieces of one file, which `before` frames of others come before; what a piece steps by goes on where the one before
/// steps alike.
void addPieces(session::NewCapture& added, const media::Footage& file, const FileStamps& stamps,
               timing::FrameCount before)
{
    const auto add = [&](timing::FrameNumber first, const timing::StampPattern& pattern, int divisor) {
        std::vector<session::Piece>& pieces = added.capture.pieces;
        const session::Piece piece{first + before, {}, true, pattern.step.value_or(0), divisor};
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
        add({}, stamps.pattern, 1);
    for (const timing::StampPiece& piece : stamps.pieces)
        add(piece.first, piece.pattern, piece.divisor);
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

/// What one file tells, which `before` frames of others come before.
void addFile(session::Capture& capture, const media::Footage& file, const timing::StampPattern& pattern,
             timing::FrameCount before)
{
    for (const timing::Gap& gap : media::missingFramesOf(file, pattern))
        capture.missing.push_back({gap.before + before, gap.count});
    for (session::UnknownStretch stretch : unknownStretches(file, pattern)) {
        stretch.first = stretch.first + before;
        stretch.last = stretch.last + before;
        capture.unknown.push_back(std::move(stretch));
    }
    for (const std::string& sentence : notesOn(file, pattern))
        capture.notes.push_back(before.value == 0 ? sentence : textOf(file.path.filename()) + ": " + sentence);
}

/// What a damaged file has to say may be without end.
void boundNotes(std::vector<std::string>& notes)
{
    constexpr std::size_t most = 100;
    static_assert(most < session::limits::notes);
    for (std::string& note : notes)
        if (const QString text = QString::fromStdString(note); text.size() > longestNote)
            note = (text.left(longestNote) + QStringLiteral(" …")).toStdString();
    if (notes.size() <= most)
        return;
    const std::size_t more = notes.size() - (most - 1);
    notes.resize(most - 1);
    notes.push_back("And " + std::to_string(more) + " more.");
}

void addSeam(session::Capture& capture, const media::Seam& seam)
{
    if (!seam.missing)
        capture.unknown.push_back({seam.before - timing::FrameCount{1}, seam.before, false, seam.why});
    else if (seam.missing->value > 0)
        capture.missing.push_back({seam.before, *seam.missing});
}

} // namespace

session::NewCapture describeCapture(const media::Footage& footage, const std::string& pathInSession,
                                    const std::string& sha256)
{
    session::NewCapture added;
    session::Capture& capture = added.capture;
    capture.name = textOf(footage.pictureFolder ? footage.path.filename() : footage.path.stem());
    capture.path = pathInSession;
    capture.pictureFolder = footage.pictureFolder;
    capture.furtherParts = furtherParts(footage, pathInSession);
    for (const media::VideoStream& stream : footage.streams)
        if (stream.index == footage.streamIndex && !stream.isDefault)
            capture.stream = stream.index;
    capture.sha256 = sha256;
    capture.frames = footage.frameCount();
    capture.width = footage.size.width;
    capture.height = footage.size.height;
    const FileStamps stamps = fileStamps(footage.parts.empty() ? footage : *footage.parts.front().footage);
    if (footage.parts.empty()) {
        addFile(capture, footage, stamps.pattern, {});
        addPieces(added, footage, stamps, {});
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
        const timing::FrameCount before = part.first - timing::FrameNumber{};
        addFile(capture, *part.footage, own.pattern, before);
        addPieces(added, *part.footage, own, before);
    }
    dropSinglePiece(added);
    boundNotes(capture.notes);
    if (std::ranges::any_of(capture.pieces, [](const session::Piece& piece) { return piece.slowedBy > 1; }))
        capture.notes.push_back(
            "Its slow-motion tag asks players to slow parts of it down: each part has a clock of its "
            "own until you say on the clock page that the camera ran evenly.");
    std::ranges::stable_sort(capture.missing, {}, &timing::Gap::before);
    std::ranges::stable_sort(capture.unknown, {}, &session::UnknownStretch::first);
    added.evidence = media::rateEvidence(footage, stamps.pattern);
    for (const timing::TagReading& tag : media::tagReadings(footage))
        if (capture.rateTags.size() < session::limits::rateTags)
            capture.rateTags.push_back({tag.key, tag.value});
    if (stamps.realTimes && stamps.pattern.irregular && footage.parts.empty())
        if (const auto rate = timing::realTimeEvidence(media::stampsOf(footage)))
            added.evidence.insert(added.evidence.begin(), *rate);
    const QString camera = cameraOf(footage.tags);
    added.cameraMode = cameraMode(camera, added.evidence);
    capture.stored = session::StoredAs{printable(footage.codec).toStdString(), camera.toStdString(),
                                       std::clamp(stamps.pattern.step.value_or(0), 0.0, 3600.0)};
    return added;
}

} // namespace reading
