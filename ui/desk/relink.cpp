#include "ui/desk/relink.h"
#include "ui/model/file_paths.h"

#include <QDir>
#include <QFileInfo>

namespace ui {

Relink::Relink(SessionModel& model, Captures& captures, QObject* parent)
    : QObject(parent), m_model(model), m_captures(captures)
{
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        m_worker.stop();
        m_seeker.stop();
        m_lookedFor.clear();
    });
    connect(&captures, &Captures::changed, this, &Relink::lookForMoved);
}

/// Once for each place that footage has gone from.
void Relink::lookForMoved()
{
    if (m_model.readOnly() || m_model.isDraft() || m_model.pending())
        return;
    for (const session::Capture* capture : session::inOrder(m_model.document()->captures)) {
        const QString gone = m_model.footagePath(*capture);
        if (capture->sha256.empty() || !m_model.mayRead(*capture)
            || m_captures.status(*capture).state != FootageState::Absent
            || !m_lookedFor.emplace(capture->id, gone).second)
            continue;
        m_seeker.run([known = *capture, folder = toPath(m_model.folder())](
                         const std::stop_token& stop) { return reading::findMoved(known, folder, stop); },
                     [this, id = capture->id, gone, sha256 = capture->sha256](const auto& found) {
                         const session::Capture* now = session::find(*m_model.document(), id);
                         if (found && now && m_model.footagePath(*now) == gone) // nobody was quicker
                             link(id, fromPath(*found), {true, {}, sha256, {}});
                     },
                     [](const QString&) {}); // it stays absent, which is told already
    }
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
            const QString sentence = QString::fromStdString(finding.sentence);
            const auto take = [this, id, path, finding, asked] {
                link(id, path, finding);
                if (asked)
                    besides(QFileInfo(path).absolutePath(), id);
            };
            if (finding.same && sentence.isEmpty())
                take();
            else if (finding.same)
                emit offered(sentence, take);
            else if (asked)
                emit told(sentence);
        },
        [this, asked](const QString& sentence) {
            if (asked)
                emit told(sentence);
        });
}

void Relink::link(session::CaptureId id, const QString& path, const reading::FootageComparison& finding)
{
    const auto document = m_model.document(); // linking makes another
    const session::Capture* capture = session::find(*document, id);
    if (!capture)
        return;
    const bool sameBytes = capture->sha256 == finding.sha256;
    const bool samePath = m_model.footagePath(*capture) == path;
    if (!sameBytes || !samePath)
        m_model.edit([&](const session::Document& latest) {
            return session::relinkCapture(latest, id, m_model.pathInSession(path).toStdString(), finding.sha256,
                                          finding.places);
        });
    if (const session::Capture* linked = session::find(*m_model.document(), id); linked && samePath)
        m_captures.retry(*linked);
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
