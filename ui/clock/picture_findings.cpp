#include "ui/clock/picture_findings.h"
#include "core/reading/picture_finding.h"
#include "core/report/capture_words.h"

namespace ui {
PictureFindings::PictureFindings(SessionModel& model, FootagePool& pool, QObject* parent)
    : QObject(parent), m_model(model)
{
    connect(&pool, &FootagePool::picturesSeen, this,
            [this, &pool](const QString& path, const timing::PictureRepeats& repeats) {
                const auto footage = pool.footage(path);
                if (!footage)
                    return;
                m_seen[path] = {reading::findingOf(repeats, false), footage->frameCount().value};
                takeUp();
                emit changed();
            });
    connect(&pool, &FootagePool::stateChanged, this, [this, &pool](const QString& path) {
        if (!pool.isOpen(path))
            m_seen.erase(path); // another file may come by this name
    });
    connect(&model, &SessionModel::changed, this, &PictureFindings::takeUp);
    connect(&model, &SessionModel::sessionReplaced, this, [this] { m_takenUp.clear(); });
}

std::optional<session::PictureFinding> PictureFindings::known(const session::Capture& capture) const
{
    const auto seen = m_seen.find(m_model.footagePath(capture));
    // Where decoding found other frames, the session follows a moment later.
    return seen == m_seen.end() || seen->second.frames != capture.frames ? std::nullopt
                                                                         : std::optional(seen->second.finding);
}

void PictureFindings::takeUp()
{
    if (m_model.readOnly() || m_model.pending())
        return; // `changed` comes again
    std::vector<std::pair<session::CaptureId, session::PictureFinding>> findings;
    QStringList sentences;
    const auto document = m_model.document();
    for (const session::Capture* capture : session::inOrder(document->captures)) {
        const auto finding = known(*capture);
        if (capture->pictures || !finding || !reading::isAlarming(*finding) || !m_takenUp.insert(capture->id).second)
            continue;
        findings.emplace_back(capture->id, *finding);
        sentences << tr("%1: %2").arg(
            QString::fromStdString(capture->name),
            QString::fromStdString(report::pictureWords(*finding, reading::claimedRate(*document, capture->clock))));
    }
    if (findings.empty() || !m_model.edit([&](const session::Document& d) {
            return session::setPictureFindings(d, findings, session::EditKind::PicturesFound);
        }))
        return;
    for (const QString& sentence : std::as_const(sentences))
        emit found(sentence);
}

} // namespace ui
