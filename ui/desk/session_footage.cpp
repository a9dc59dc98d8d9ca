#include "ui/desk/session_footage.h"
#include "core/reading/same_footage.h"

#include <QFileInfo>
#include <algorithm>
#include <utility>

namespace ui {

SessionFootage::SessionFootage(SessionModel& model, FootagePool& pool, QObject* parent)
    : QObject(parent), m_model(model), m_pool(pool), m_decoded(model)
{
    connect(&model, &SessionModel::sessionReplaced, this, &SessionFootage::sessionReplaced);
    connect(&model, &SessionModel::changed, this, &SessionFootage::follow);
    connect(&pool, &FootagePool::stateChanged, this, &SessionFootage::poolChanged);
    connect(&pool, &FootagePool::progressChanged, this, [this](const QString& path) {
        if (m_paths.contains(path) && (m_pool.state(path) != FootagePool::State::Ready || m_comparing.contains(path)))
            emit progressChanged();
        else if (m_paths.contains(path))
            if (const int percent = int(100 * m_pool.proven(path));
                std::exchange(m_decoded100[path], percent) != percent)
                emit decodedChanged();
    });
    connect(&pool, &FootagePool::confirmed, this, &SessionFootage::confirmed);
    connect(&pool, &FootagePool::shownWrong, this, [this](const QString& path, const QString& sentence) {
        if (m_paths.contains(path))
            emit problem(sentence);
    });
    connect(&m_decoded, &DecodedFrames::problem, this, &SessionFootage::problem);
    connect(&m_decoded, &DecodedFrames::followed, this, &SessionFootage::followed);
    connect(&model, &SessionModel::changed, this, &SessionFootage::compareFollowed);
    connect(&model, &SessionModel::changed, this, &SessionFootage::followAgain);
    connect(&pool, &FootagePool::checksumReady, this, &SessionFootage::checked);
    connect(&pool, &FootagePool::checksumFailed, this, [this](const QString& path, const QString& sentence) {
        if (m_checking != path)
            return;
        m_otherBytes[path] = sentence;
        m_checking.clear();
        emit changed();
        checkNext();
    });
    follow();
}

void SessionFootage::sessionReplaced()
{
    m_pool.closeAll();
    m_paths.clear();
    m_toOpen.clear();
    m_toCheck.clear();
    m_opening.clear();
    m_checking.clear();
    m_otherBytes.clear();
    m_comparing.clear();
    m_sources.clear();
    m_confirmations.clear();
    m_followed.clear();
    m_following.clear();
    m_found.clear();
    m_decoded100.clear();
    m_worker.stop();
    m_current = {};
    follow();
}

/// Captures come by adding, undoing and relinking, and go the same ways.
void SessionFootage::follow()
{
    QStringList paths;
    std::map<QString, FootageSource> sources;
    for (const session::Capture* capture : session::inOrder(m_model.document()->captures)) {
        paths << m_model.footagePath(*capture);
        sources[paths.back()] = sourceOf(*capture);
    }
    // Joined with another file, or with another stream chosen: it is other footage now.
    const std::map<QString, FootageSource> before = std::exchange(m_sources, std::move(sources));
    for (const auto& [path, source] : before)
        if (const auto now = m_sources.find(path); now != m_sources.end() && now->second != source)
            if (const session::Capture* capture = captureAt(path))
                retry(*capture);
    if (paths == m_paths)
        return;
    for (const QString& path : std::as_const(m_paths))
        if (!paths.contains(path)) {
            m_toOpen.removeAll(path);
            m_toCheck.removeAll(path);
            m_otherBytes.erase(path);
            m_comparing.remove(path);
            m_confirmations.erase(path);
            m_found.erase(path);
            if (m_opening == path)
                m_opening.clear();
            if (m_checking == path)
                m_checking.clear();
            m_pool.close(path);
        }
    for (const QString& path : std::as_const(paths))
        if (!m_paths.contains(path) && m_pool.state(path) != FootagePool::State::Ready)
            m_toOpen << path;
    m_paths = paths;
    emit changed();
    openNext();
}

void SessionFootage::setCurrent(session::CaptureId id)
{
    if (m_current == id)
        return;
    m_current = id;
    const session::Capture* capture = session::find(*m_model.document(), id);
    if (!capture)
        return;
    const QString path = m_model.footagePath(*capture);
    if (!m_toOpen.removeAll(path))
        return;
    m_toOpen.prepend(path);
    if (!m_opening.isEmpty()) { // what is under way waits, the analyst doesn't
        m_toOpen.insert(1, m_opening);
        m_pool.cancel(std::exchange(m_opening, QString()));
    }
    openNext();
}

void SessionFootage::retry(const session::Capture& capture)
{
    const QString path = m_model.footagePath(capture);
    m_pool.close(path);
    m_otherBytes.erase(path);
    m_comparing.remove(path);
    m_confirmations.erase(path);
    m_found.erase(path);
    if (m_opening == path)
        m_opening.clear();
    m_toOpen.removeAll(path);
    m_toOpen.prepend(path);
    emit changed();
    openNext();
}

void SessionFootage::openNext()
{
    while (m_opening.isEmpty() && !m_toOpen.isEmpty()) {
        m_opening = m_toOpen.takeFirst();
        const QString path = m_opening;
        m_pool.open(path, m_sources[path]);
        const FootagePool::State state = m_pool.state(path);
        if (m_opening == path && (state == FootagePool::State::Ready || state == FootagePool::State::Failed))
            poolChanged(path);
    }
    if (m_opening.isEmpty())
        checkNext();
}

void SessionFootage::poolChanged(const QString& path)
{
    if (!m_paths.contains(path))
        return;
    const FootagePool::State state = m_pool.state(path);
    const bool over = state == FootagePool::State::Ready || state == FootagePool::State::Failed;
    if (over && m_opening == path) {
        m_opening.clear();
        if (const session::Capture* capture = captureAt(path); capture && status(*capture).state == State::Ready) {
            if (!capture->sha256.empty())
                m_toCheck << path;
            compareMarked(*capture);
        }
    }
    emit changed();
    if (over)
        openNext();
}

/// The checksum of large footage takes minutes. Until it is there, one picture that was marked tells whether this is
/// the film that was marked in: nothing may be marked in another one meanwhile.
void SessionFootage::compareMarked(const session::Capture& capture)
{
    const auto marked = session::markedPictures(*m_model.document(), capture.id);
    const QString path = m_model.footagePath(capture);
    if (marked.empty())
        return;
    m_comparing.insert(path);
    m_worker.run(
        [footage = m_pool.footage(path), first = *marked.begin()](std::stop_token stop) {
            media::FrameReader reader(footage);
            return reading::shows(reader, first, stop);
        },
        [this, path, footage = m_pool.footage(path), frame = marked.begin()->first](bool same) {
            markedCompared(path, footage, frame, same);
        },
        [this, path](const QString& sentence) {
            if (m_comparing.remove(path))
                m_otherBytes[path] = sentence;
            emit changed();
        });
}

void SessionFootage::markedCompared(const QString& path, const std::shared_ptr<const media::Footage>& footage,
                                    std::int64_t frame, bool same)
{
    if (!m_comparing.contains(path) || m_pool.footage(path) != footage)
        return;
    // Scanned frames may yet get other numbers: then it is compared again.
    if (!same && m_pool.proof(path) == FootagePool::Proof::UnderWay)
        return;
    m_comparing.remove(path);
    const session::Capture* capture = captureAt(path);
    if (same && capture && footage->confirmed && !m_confirmations.contains(path)
        && !reading::withoutPacket(*m_model.document(), capture->id).empty())
        beginFollowing(path, {footage, {}, {}});
    if (!same)
        m_otherBytes[path] =
            tr("%1 isn't the footage that was added: its frame %2 isn't the picture that was marked. Its marks "
               "stay, marking is off; relink the capture to the file that was read.")
                .arg(QFileInfo(path).fileName())
                .arg(frame);
    emit changed();
}

void SessionFootage::confirmed(const QString& path, const media::Confirmation& confirmation)
{
    m_confirmations[path] = confirmation;
    m_found.erase(path);
    if (m_paths.contains(path)) // else it is being added
        beginFollowing(path, confirmation);
}

/// Until the session has followed, its frame numbers and the footage's may differ: nothing can be marked meanwhile.
void SessionFootage::beginFollowing(const QString& path, const media::Confirmation& confirmation)
{
    if (!confirmation.moved.empty())
        m_comparing.insert(path);
    m_following.insert(path);
    m_decoded.follow(path, confirmation);
}

void SessionFootage::followed(const QString& path, const std::shared_ptr<const session::DecodedFrames>& found,
                              const QString& fault)
{
    m_following.remove(path);
    m_followed << path;
    if (found && !found->moved.empty())
        m_found[path] = found;
    if (!fault.isEmpty()) {
        m_otherBytes[path] = fault;
        emit problem(fault);
    }
    compareFollowed();
}

/// Undo, redo and changes that couldn't be written bring back numbers that the footage had before it was decoded, and
/// a mark may come by such a number.
void SessionFootage::followAgain()
{
    if (m_model.pending() || m_model.readOnly())
        return;
    for (const auto& [path, found] : m_found) {
        const session::Capture* capture = captureAt(path);
        if (!capture || m_following.contains(path) || m_followed.contains(path) || m_otherBytes.contains(path))
            continue;
        const auto follow = [id = capture->id, found = found](const session::Document& document) {
            return session::find(document, id) ? session::followFrames(document, id, *found) : session::Edit{};
        };
        if (!follow(*m_model.document()).changes.empty())
            m_model.edit(follow);
    }
}

/// Marked pictures are compared once the session's frame numbers are those of the decoded footage.
void SessionFootage::compareFollowed()
{
    if (m_model.pending())
        return;
    const QStringList paths = std::exchange(m_followed, {});
    for (const QString& path : paths) {
        if (!m_comparing.remove(path))
            continue;
        const session::Capture* capture = captureAt(path);
        if (capture && status(*capture).state == State::Ready)
            compareMarked(*capture);
        emit changed();
    }
}

void SessionFootage::followDecoded(const QString& path)
{
    if (const auto found = m_confirmations.find(path); found != m_confirmations.end() && m_paths.contains(path))
        beginFollowing(path, found->second);
}

/// Reading every byte of the session's footage waits until all of it is open.
void SessionFootage::checkNext()
{
    if (!m_checking.isEmpty() || m_toCheck.isEmpty())
        return;
    m_checking = m_toCheck.takeFirst();
    m_pool.checksum(m_checking);
}

void SessionFootage::checked(const QString& path, const QString& sha256)
{
    const session::Capture* capture = captureAt(path);
    if (capture && !capture->sha256.empty() && capture->sha256 != sha256.toStdString()) {
        m_otherBytes[path] =
            tr("%1 isn't the file that was added: its checksum differs. Its marks stay, marking is off; "
               "relink the capture to the file that was read.")
                .arg(QFileInfo(path).fileName());
        emit changed();
    }
    if (m_checking == path) {
        m_checking.clear();
        checkNext();
    }
}

FootageSource SessionFootage::sourceOf(const session::Capture& capture) const
{
    return {m_model.furtherParts(capture), capture.stream};
}

const session::Capture* SessionFootage::captureAt(const QString& path) const
{
    for (const auto& [id, capture] : m_model.document()->captures)
        if (m_model.footagePath(*capture) == path)
            return capture.get();
    return nullptr;
}

SessionFootage::Status SessionFootage::status(const session::Capture& capture) const
{
    const QString path = m_model.footagePath(capture);
    const QString name = QFileInfo(path).fileName();
    switch (m_pool.state(path)) {
    case FootagePool::State::Unknown:
    case FootagePool::State::Waiting: return {};
    case FootagePool::State::Indexing: return {State::Indexing, m_pool.progress(path), {}};
    case FootagePool::State::Failed: return {State::Absent, 0, m_pool.fault(path)};
    case FootagePool::State::Ready: break;
    }
    const auto footage = m_pool.footage(path);
    const bool isProven = m_pool.proof(path) != FootagePool::Proof::UnderWay;
    if ((!isProven && footage->frameCount().value != capture.frames) || m_comparing.contains(path))
        return {State::Indexing,
                m_pool.proven(path),
                {}}; // packets tell no more than a guess, which decoding is about to settle
    if (footage->frameCount().value != capture.frames)
        return {
            State::Changed, 0,
            tr("%1 isn't the footage that was added: it has %2 frames instead of %3. Its marks stay, marking is off; "
               "relink the capture to the file that was read.")
                .arg(name)
                .arg(footage->frameCount().value)
                .arg(capture.frames)};
    if (footage->size.width != capture.width || footage->size.height != capture.height)
        return {State::Changed, 0,
                tr("%1 isn't the footage that was added: its picture is %2 x %3 instead of %4 x %5. Its marks stay, "
                   "marking "
                   "is off; relink the capture to the file that was read.")
                    .arg(name)
                    .arg(footage->size.width)
                    .arg(footage->size.height)
                    .arg(capture.width)
                    .arg(capture.height)};
    if (const auto other = m_otherBytes.find(path); other != m_otherBytes.end())
        return {State::Changed, 0, other->second};
    return {State::Ready, 1, m_pool.fault(path),
            isProven ? std::nullopt : std::optional(int(100 * m_pool.proven(path)))};
}

} // namespace ui
