#include "ui/desk/decoded_frames.h"
#include "core/media/decode/frame_reader.h"
#include "ui/desk/new_capture.h"

namespace ui {

struct DecodedFrames::Found {
    session::Capture capture;                        ///< as decoding describes it
    std::vector<std::optional<std::int64_t>> frames; ///< where each scanned frame is now; empty: where it was
    std::set<session::MarkedPicture> settled;        ///< marks that have the decoded number already
};

namespace {

const session::Capture* captureAt(const SessionModel& model, const QString& path)
{
    for (const auto& [id, capture] : model.document()->captures)
        if (model.footagePath(*capture) == path)
            return capture.get();
    return nullptr;
}

/// Marks whose picture decoding gives under their number. A session that was marked in before may number its frames as
/// decoded, and hold marks that were made since by the scanned number: only the pictures tell.
std::set<session::MarkedPicture> settledMarks(const media::Confirmation& confirmation,
                                              const std::set<session::MarkedPicture>& marked, std::stop_token stop)
{
    std::set<session::MarkedPicture> settled;
    media::FrameReader reader(confirmation.footage);
    const auto scanned = static_cast<std::int64_t>(confirmation.moved.size());
    for (const auto& [frame, hash] : marked)
        if (frame < confirmation.footage->frameCount().value)
            if ((frame >= scanned || confirmation.now({frame}) != timing::FrameNumber{frame})
                && reader.read({frame}, stop).md5() == hash)
                settled.emplace(frame, hash);
    return settled;
}

/// Wording alone is no reason to change a session.
bool saysTheSame(const session::Capture& known, const session::Capture& found)
{
    return known.frames == found.frames && known.missing == found.missing && known.unknown == found.unknown
           && known.notes.empty() == found.notes.empty();
}

bool anyMoves(const session::Document& document, session::CaptureId id,
              const std::vector<std::optional<std::int64_t>>& frames, const std::set<session::MarkedPicture>& settled)
{
    for (const session::MarkedPicture& mark : session::markedPictures(document, id))
        if (const auto n = static_cast<std::size_t>(mark.first);
            !settled.contains(mark) && n < frames.size() && frames[n] != mark.first)
            return true;
    return false;
}

} // namespace

DecodedFrames::Found DecodedFrames::compare(const media::Confirmation& confirmation, const session::Capture& capture,
                                            const std::set<session::MarkedPicture>& marked, std::stop_token stop)
{
    Found found;
    found.capture = describeCapture(*confirmation.footage, QString::fromStdString(capture.path),
                                    QString::fromStdString(capture.sha256))
                        .capture;
    // Other frame counts than were scanned: the session numbers its frames as an earlier decoding did, or this is other
    // footage.
    if (!confirmation.moved.empty() && capture.frames == static_cast<std::int64_t>(confirmation.moved.size())) {
        for (const auto& frame : confirmation.moved)
            found.frames.push_back(frame ? std::optional(frame->value) : std::nullopt);
        found.settled = settledMarks(confirmation, marked, stop);
    }
    return found;
}

DecodedFrames::DecodedFrames(SessionModel& model, QObject* parent) : QObject(parent), m_model(model)
{
    connect(&model, &SessionModel::sessionReplaced, this, [this] { m_worker.stop(); });
}

void DecodedFrames::follow(const QString& path, const media::Confirmation& confirmation)
{
    const session::Capture* capture = captureAt(m_model, path);
    if (!capture || m_model.readOnly()) {
        emit followed(path, {}, {});
        return;
    }
    m_worker.run(
        [confirmation, capture = *capture, marked = session::markedPictures(*m_model.document(), capture->id)](
            std::stop_token stop) { return compare(confirmation, capture, marked, stop); },
        [this, path, difference = confirmation.difference](const Found& found) { take(path, found, difference); },
        [this, path](const QString& sentence) { emit followed(path, {}, sentence); });
}

void DecodedFrames::take(const QString& path, const Found& found, const std::optional<std::string>& difference)
{
    const session::Capture* now = captureAt(m_model, path);
    std::set<session::MarkedPicture> settled;
    bool went = true, changes = false;
    if (now)
        went = m_model.edit([&](const session::Document& document) { // with marks that are yet being written
            const session::Capture* latest = session::find(document, now->id);
            if (!latest)
                return session::Edit{}; // on its way out
            const session::Capture& capture = *latest;
            const bool piecesMove = !found.frames.empty() && found.settled.empty() && !capture.pieces.empty();
            changes = anyMoves(document, now->id, found.frames, found.settled) || piecesMove
                      || !saysTheSame(capture, found.capture);
            session::Edit edit =
                changes ? session::followFrames(document, now->id, found.capture, found.frames, found.settled)
                        : session::Edit{};
            settled = session::markedPictures(changes ? session::apply(document, edit) : document, now->id);
            return edit;
        });
    if (went && changes && difference)
        emit problem(QString::fromStdString(*difference));
    else if (went && changes && !found.capture.notes.empty())
        emit problem(
            tr("%1: %2").arg(QString::fromStdString(now->name), QString::fromStdString(found.capture.notes.front())));
    emit followed(path, settled,
                  went ? QString()
                       : tr("The frames of %1 have other numbers than its packets told, and the session can't follow; "
                            "marking in it is off.")
                             .arg(QString::fromStdString(now->name)));
}

} // namespace ui
