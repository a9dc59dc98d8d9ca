#include "ui/desk/decoded_frames.h"

namespace ui {

namespace {

const session::Capture* captureAt(const SessionModel& model, const QString& path)
{
    for (const auto& [id, capture] : model.document()->captures)
        if (model.footagePath(*capture) == path)
            return capture.get();
    return nullptr;
}

} // namespace

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
    m_worker.run([confirmation, capture = *capture, marked = session::markedPictures(*m_model.document(), capture->id)](
                     std::stop_token stop) { return reading::compareFrames(confirmation, capture, marked, stop); },
                 [this, path, difference = confirmation.difference](const reading::FramesFound& found) {
                     take(path, found, difference);
                 },
                 [this, path](const QString& sentence) { emit followed(path, {}, sentence); });
}

void DecodedFrames::take(const QString& path, const reading::FramesFound& found,
                         const std::optional<std::string>& difference)
{
    const session::Capture* now = captureAt(m_model, path);
    std::set<session::MarkedPicture> settled;
    bool went = true, changes = false;
    if (now)
        went = m_model.edit([&](const session::Document& document) { // with marks that are yet being written
            session::Edit edit = reading::follow(document, now->id, found);
            changes = !edit.changes.empty();
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
