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
    m_worker.run(
        [confirmation, document = m_model.document(), id = capture->id](std::stop_token stop) {
            return std::make_shared<const session::DecodedFrames>(
                reading::decodedFrames(confirmation, *document, id, stop));
        },
        [this, path, difference = confirmation.difference](const auto& found) { take(path, found, difference); },
        [this, path](const QString& sentence) { emit followed(path, {}, sentence); });
}

void DecodedFrames::take(const QString& path, const std::shared_ptr<const session::DecodedFrames>& found,
                         const std::optional<std::string>& difference)
{
    const session::Capture* now = captureAt(m_model, path);
    bool went = true, changes = false;
    if (now)
        went = m_model.edit([&](const session::Document& document) { // with marks that are yet being written
            if (!session::find(document, now->id))
                return session::Edit{}; // on its way out
            session::Edit edit = session::followFrames(document, now->id, *found);
            changes = !edit.changes.empty();
            return edit;
        });
    const std::vector<std::string>& notes = found->capture.notes;
    if (went && changes && difference)
        emit problem(QString::fromStdString(*difference));
    else if (went && changes && !notes.empty())
        emit problem(tr("%1: %2").arg(QString::fromStdString(now->name), QString::fromStdString(notes.front())));
    emit followed(path, found,
                  went ? QString()
                       : tr("The frames of %1 have other numbers than its packets told, and the session can't follow; "
                            "marking in it is off.")
                             .arg(QString::fromStdString(now->name)));
}

} // namespace ui
