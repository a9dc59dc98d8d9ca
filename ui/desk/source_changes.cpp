#include "ui/desk/source_changes.h"
#include "core/media/index/parts.h"
#include "core/reading/new_capture.h"
#include "core/reading/same_footage.h"
#include "ui/model/file_paths.h"

#include <algorithm>

namespace ui {

const session::Capture* captureAfter(const session::Document& document, session::CaptureId id)
{
    const auto ordered = session::inOrder(document.captures);
    const auto place = std::ranges::find(ordered, id, &session::Capture::id);
    return place == ordered.end() || std::next(place) == ordered.end() ? nullptr : *std::next(place);
}

SourceChanges::SourceChanges(SessionModel& model, QObject* parent) : QObject(parent), m_model(model)
{
    connect(&model, &SessionModel::sessionReplaced, this, [this] { m_worker.stop(); });
}

void SourceChanges::joinNext(session::CaptureId id)
{
    const auto document = m_model.document();
    const session::Capture* first = session::find(*document, id);
    const session::Capture* second = captureAfter(*document, id);
    if (!first || !second) {
        emit cue(tr("There is no capture after this one to join it with."));
        return;
    }
    if (!mayRead(*first) || !mayRead(*second))
        return;
    std::vector<std::filesystem::path> files = reading::footageOf(*first, toPath(m_model.folder()));
    for (const auto& file : reading::footageOf(*second, toPath(m_model.folder())))
        files.push_back(file);
    emit cue(tr("Joining %1 and %2: their files are being read.")
                 .arg(QString::fromStdString(first->name), QString::fromStdString(second->name)));
    m_worker.run(
        [files, path = first->path, stream = first->stream](std::stop_token stop) {
            const auto footage = media::scanParts(files, stop, {}, {stream, {}});
            return reading::describeCapture(*footage, path).capture;
        },
        [this, id, other = second->id](const session::Capture& joined) {
            m_model.edit(
                [&](const session::Document& latest) { return session::joinCaptures(latest, id, other, joined); });
        },
        [this](const QString& sentence) { emit problem(tr("Nothing was joined. %1").arg(sentence)); });
}

bool SourceChanges::mayRead(const session::Capture& capture)
{
    const bool may = m_model.mayRead(capture);
    if (!may)
        emit problem(QString::fromStdString(reading::notAskedSentence(capture.name)));
    return may;
}

void SourceChanges::chooseStream(session::CaptureId id, int stream)
{
    const session::Capture* capture = session::find(*m_model.document(), id);
    if (!capture || !mayRead(*capture))
        return;
    m_worker.run(
        [files = reading::footageOf(*capture, toPath(m_model.folder())), known = *capture,
         stream](std::stop_token stop) {
            const auto footage = media::scanParts(files, stop, {}, {stream, {}});
            return reading::describeCapture(*footage, known.path, known.sha256).capture;
        },
        [this, id](const session::Capture& found) {
            m_model.edit([&](const session::Document& latest) {
                const session::Capture* now = session::find(latest, id);
                return session::exchangeFootage(latest, id, found,
                                                "choose another stream of " + (now ? now->name : std::string()));
            });
        },
        [this](const QString& sentence) { emit problem(tr("The stream wasn't changed. %1").arg(sentence)); });
}

} // namespace ui
