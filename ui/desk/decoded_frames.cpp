#include "ui/desk/decoded_frames.h"
#include "core/media/frame_reader.h"
#include "ui/desk/new_capture.h"
#include "ui/desk/relink.h"

namespace ui {

struct DecodedFrames::Found {
    session::Capture capture;                        ///< as decoding describes it
    std::vector<std::optional<std::int64_t>> frames; ///< where each frame of the session's capture is now; empty: where it was
};

namespace {

const session::Capture* captureAt(const SessionModel& model, const QString& path)
{
    for (const auto& [id, capture] : model.document()->captures)
        if (model.footagePath(*capture) == path)
            return capture.get();
    return nullptr;
}

/// A session that was marked in before may number its frames as decoded already: the marked pictures tell.
bool numbersAsScanned(const media::Confirmation& confirmation, const session::Capture& capture,
                      const std::map<std::int64_t, std::string>& marked, std::stop_token stop)
{
    if (confirmation.moved.empty() || capture.frames != static_cast<std::int64_t>(confirmation.moved.size()))
        return false;
    media::FrameReader reader(confirmation.footage);
    for (const auto& [frame, hash] : marked) {
        const auto now = confirmation.now({frame});
        if (now == timing::FrameNumber{frame} || frame >= confirmation.footage->frameCount().value)
            continue;
        if (reader.read({frame}, stop).md5() == hash)
            return false;
        if (now && reader.read(*now, stop).md5() == hash)
            return true;
    }
    return true;
}

/// Wording alone is no reason to change a session.
bool saysTheSame(const session::Capture& known, const session::Capture& found)
{
    return known.frames == found.frames && known.missing == found.missing && known.unknown == found.unknown
        && known.notes.empty() == found.notes.empty();
}

} // namespace

DecodedFrames::Found DecodedFrames::compare(const media::Confirmation& confirmation, const session::Capture& capture,
                                            const std::map<std::int64_t, std::string>& marked, std::stop_token stop)
{
    Found found;
    found.capture = describeCapture(*confirmation.footage, QString::fromStdString(capture.path),
                                    QString::fromStdString(capture.sha256)).capture;
    if (numbersAsScanned(confirmation, capture, marked, stop))
        for (const auto& frame : confirmation.moved)
            found.frames.push_back(frame ? std::optional(frame->value) : std::nullopt);
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
        emit followed(path);
        return;
    }
    m_worker.run(
        [confirmation, capture = *capture, marked = markedPictures(*m_model.document(), capture->id)](std::stop_token stop) {
            return compare(confirmation, capture, marked, stop);
        },
        [this, path, difference = confirmation.difference](const Found& found) {
            take(path, found, difference);
            emit followed(path);
        },
        [this, path](const QString& sentence) {
            emit problem(sentence);
            emit followed(path);
        });
}

void DecodedFrames::take(const QString& path, const Found& found, const std::optional<std::string>& difference)
{
    const session::Capture* now = captureAt(m_model, path);
    if (!now || (found.frames.empty() && saysTheSame(*now, found.capture)))
        return;
    const bool went = m_model.edit([&](const session::Document& document) {
        return session::followFrames(document, now->id, found.capture, found.frames);
    });
    if (!went)
        return;
    if (difference)
        emit problem(QString::fromStdString(*difference));
    else if (!found.capture.notes.empty())
        emit problem(tr("%1: %2").arg(QString::fromStdString(now->name), QString::fromStdString(found.capture.notes.front())));
}

} // namespace ui
