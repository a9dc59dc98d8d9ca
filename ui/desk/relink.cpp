#include "ui/desk/relink.h"
#include "core/media/decode/frame_reader.h"
#include "ui/model/file_paths.h"

#include <QDir>
#include <QFileInfo>
#include <map>

namespace ui {

RelinkFinding compareFootage(const session::Document& document, const session::Capture& capture, const QString& path,
                             std::stop_token stop)
{
    const QString name = QFileInfo(path).fileName(), of = QString::fromStdString(capture.name);
    RelinkFinding finding;
    finding.sha256 = QString::fromStdString(media::footageSha256(toPath(path), stop));
    if (!capture.sha256.empty() && finding.sha256.toStdString() == capture.sha256) {
        finding.same = true;
        return finding;
    }
    const auto footage = media::openFootage(toPath(path), stop);
    if (footage->frameCount().value != capture.frames || footage->size != media::Size{capture.width, capture.height}) {
        finding.sentence =
            Relink::tr("%1 isn't the footage of %2: it has %3 frames of %4 x %5 instead of %6 of %7 x %8. Choose the "
                       "file that was read.")
                .arg(name, of)
                .arg(footage->frameCount().value)
                .arg(footage->size.width)
                .arg(footage->size.height)
                .arg(capture.frames)
                .arg(capture.width)
                .arg(capture.height);
        return finding;
    }
    const auto marked = session::markedPictures(document, capture.id);
    media::FrameReader reader(footage);
    for (const auto& [frame, hash] : marked)
        if (reader.read({frame}, stop).md5() != hash) {
            finding.sentence =
                Relink::tr(
                    "%1 isn't the footage of %2: its frame %3 isn't the picture that was marked. Choose the file "
                    "that was read.")
                    .arg(name, of)
                    .arg(frame);
            return finding;
        }
    finding.same = true;
    finding.sentence = marked.empty()
                           ? Relink::tr("%1 is linked to %2: other bytes, the same number of frames of the same size, "
                                        "and no marks to compare.")
                                 .arg(of, name)
                           : Relink::tr("%1 is linked to %2: other bytes, but all %3 marked pictures are the same.")
                                 .arg(of, name)
                                 .arg(marked.size());
    return finding;
}

Relink::Relink(SessionModel& model, SessionFootage& footage, QObject* parent)
    : QObject(parent), m_model(model), m_footage(footage)
{
    connect(&model, &SessionModel::sessionReplaced, this, [this] { m_worker.stop(); });
}

void Relink::relink(session::CaptureId id, const QString& path)
{
    compare(id, QDir::cleanPath(QFileInfo(path).absoluteFilePath()), true);
}

void Relink::compare(session::CaptureId id, const QString& path, bool asked)
{
    const auto document = m_model.document();
    const session::Capture* capture = session::find(*document, id);
    if (!capture)
        return;
    m_worker.run(
        [document, id, path, asked](std::stop_token stop) {
            RelinkFinding finding;
            if (!asked && !QFileInfo::exists(path))
                return finding;
            return compareFootage(*document, *session::find(*document, id), path, stop);
        },
        [this, id, path, asked](const RelinkFinding& finding) {
            if (asked && !finding.sentence.isEmpty())
                emit told(finding.sentence);
            if (!finding.same)
                return;
            link(id, path, finding);
            if (asked)
                besides(QFileInfo(path).absolutePath(), id);
        },
        [this, asked](const QString& sentence) {
            if (asked)
                emit told(sentence);
        });
}

void Relink::link(session::CaptureId id, const QString& path, const RelinkFinding& finding)
{
    const session::Capture* capture = session::find(*m_model.document(), id);
    if (!capture)
        return;
    const bool sameBytes = capture->sha256 == finding.sha256.toStdString();
    const bool samePath = m_model.footagePath(*capture) == path;
    if (!sameBytes || !samePath)
        m_model.edit([&](const session::Document& document) {
            session::Capture linked = *session::find(document, id);
            linked.path = m_model.pathInSession(path).toStdString();
            linked.sha256 = finding.sha256.toStdString();
            return session::setCapture(document, linked, "relink " + linked.name);
        });
    if (samePath)
        m_footage.retry(*capture);
}

void Relink::besides(const QString& folder, session::CaptureId linked)
{
    for (const session::Capture* capture : session::inOrder(m_model.document()->captures))
        if (capture->id != linked && m_footage.status(*capture).state == SessionFootage::State::Absent)
            compare(capture->id, folder + QLatin1Char('/') + QFileInfo(m_model.footagePath(*capture)).fileName(),
                    false);
}

} // namespace ui
