#include "ui/desk/relink.h"
#include "ui/model/file_paths.h"

#include <QDir>
#include <QFileInfo>

namespace ui {

Relink::Relink(SessionModel& model, Captures& captures, QObject* parent)
    : QObject(parent), m_model(model), m_captures(captures)
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
            if (!asked && !QFileInfo::exists(path))
                return reading::FootageComparison{};
            return reading::compareFootage(*document, *session::find(*document, id), toPath(path), stop);
        },
        [this, id, path, asked](const reading::FootageComparison& finding) {
            if (asked && !finding.sentence.empty())
                emit told(QString::fromStdString(finding.sentence));
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

void Relink::link(session::CaptureId id, const QString& path, const reading::FootageComparison& finding)
{
    const session::Capture* capture = session::find(*m_model.document(), id);
    if (!capture)
        return;
    const bool sameBytes = capture->sha256 == finding.sha256;
    const bool samePath = m_model.footagePath(*capture) == path;
    if (!sameBytes || !samePath)
        m_model.edit([&](const session::Document& document) {
            return session::relinkCapture(document, id, m_model.pathInSession(path).toStdString(), finding.sha256,
                                          finding.places);
        });
    if (samePath)
        m_captures.retry(*capture);
}

void Relink::besides(const QString& folder, session::CaptureId linked)
{
    for (const session::Capture* capture : session::inOrder(m_model.document()->captures))
        if (const FootageState state = m_captures.status(*capture).state;
            capture->id != linked && (state == FootageState::Absent || state == FootageState::Failed))
            compare(capture->id, folder + QLatin1Char('/') + QFileInfo(m_model.footagePath(*capture)).fileName(),
                    false);
}

} // namespace ui
