#include "ui/desk/captures.h"

#include <QFileInfo>
#include <algorithm>

namespace ui {

Captures::Captures(SessionModel& model, FootagePool& pool, QObject* parent)
    : QObject(parent), m_model(model), m_pool(pool)
{
    m_impatience.setSingleShot(true);
    connect(&m_impatience, &QTimer::timeout, this, &Captures::commit);
    connect(&model, &SessionModel::sessionReplaced, this, &Captures::sessionReplaced);
    connect(&model, &SessionModel::changed, this, &Captures::sessionChanged);
    connect(&pool, &FootagePool::stateChanged, this, &Captures::poolChanged);
    connect(&pool, &FootagePool::progressChanged, this, &Captures::poolProgress);
    connect(&pool, &FootagePool::confirmed, this, &Captures::confirmed);
    connect(&pool, &FootagePool::shownWrong, this, [this](const QString& path, const QString& sentence) {
        if (m_paths.contains(path))
            emit problem(sentence);
    });
    connect(&pool, &FootagePool::checksumReady, this, &Captures::checksumReady);
    connect(&pool, &FootagePool::checksumFailed, this, [this](const QString& path, const QString& sentence) {
        if (KnownFootage* known = m_paths.contains(path) ? m_pool.find(path) : nullptr) {
            known->inSession.checksumFault = sentence;
            settle(*known);
            goOnFollowing(*known);
        }
        takeChecksums();
    });
    sessionChanged();
}

void Captures::sessionReplaced()
{
    cancelIncoming();
    m_worker.stop();
    m_paths.clear();
    m_pool.closeAll();
    sessionChanged();
}

/// Captures come by adding, undoing and relinking, and go the same ways.
void Captures::sessionChanged()
{
    if (m_onceAccepted && !m_model.pending())
        std::exchange(m_onceAccepted, nullptr)();
    const auto captures = session::inOrder(m_model.document()->captures);
    QStringList paths;
    for (const session::Capture* capture : captures)
        if (m_model.mayRead(*capture))
            paths << m_model.footagePath(*capture);
    const QStringList before = std::exchange(m_paths, paths);
    for (const QString& path : before)
        if (!paths.contains(path))
            m_pool.close(path);
    for (const session::Capture* capture : captures) {
        const QString path = m_model.footagePath(*capture);
        const KnownFootage* known = m_pool.find(path);
        if (!m_model.mayRead(*capture))
            continue;
        if (!known || known->source != sourceOf(*capture)) // joined with another file, or another stream was chosen
            m_pool.open(path, sourceOf(*capture));
    }
    followingAccepted();
    followAgain();
    settleAll();
    takeChecksums(); // of what was decoded before it went in
    if (paths != before)
        emit changed();
}

void Captures::setCurrent(session::CaptureId id)
{
    if (const session::Capture* capture = session::find(*m_model.document(), id))
        m_pool.setInFront(m_model.footagePath(*capture));
}

void Captures::retry(const session::Capture& capture)
{
    const QString path = m_model.footagePath(capture);
    if (!m_model.mayRead(capture))
        return m_model.askForFootageAgain();
    m_pool.openAnew(path, sourceOf(capture));
    m_pool.setInFront(path);
}

void Captures::poolChanged(const QString& path)
{
    KnownFootage* known = m_pool.find(path);
    if (Item* item = itemAt(path)) {
        if (!known)
            drop(path, false); // closed from elsewhere
        else
            incomingOpened(*item);
        emit incomingChanged();
    }
    if (!m_paths.contains(path))
        return;
    if (known && known->state() == FootageState::Scanned && !known->inSession.confirmation) {
        const session::Capture* capture = captureAt(path);
        // Undo may have brought back what its packets told, which a kept index doesn't know.
        if (capture && known->isConfirmed() && known->footage->frameCount() != capture->frames
            && !known->passesOverIndex && !m_model.readOnly())
            return m_pool.scanAnew(path);
        const bool isCompared = known->inSession.isComparing && known->isDecoding; // or will be, with the decoded
        if (capture && !isCompared)
            compareMarked(*known, *capture);
    }
    if (known)
        settle(*known);
    emit changed();
    takeChecksums();
}

void Captures::poolProgress(const QString& path)
{
    KnownFootage* known = m_pool.find(path);
    if (itemAt(path))
        emit incomingChanged();
    if (!known || !m_paths.contains(path))
        return;
    const int percent = int(100 * known->confirmedShare);
    if (known->state() != FootageState::Viewable)
        emit progressChanged();
    else if (std::exchange(known->inSession.percentTold, percent) != percent)
        emit checkedChanged();
}

void Captures::settleAll()
{
    for (const QString& path : std::as_const(m_paths))
        if (KnownFootage* known = m_pool.find(path))
            settle(*known);
}

/// Takes open footage to the state that it has against the session now.
void Captures::settle(KnownFootage& known)
{
    const session::Capture* capture = captureAt(known.path);
    if (!capture || !known.isOpen())
        return;
    const auto [state, why] = stateOf(known, *capture);
    if (state == known.state()) {
        if (state != FootageState::Scanned && std::exchange(known.sentence, why) != why)
            emit changed();
        return;
    }
    if (!KnownFootage::mayBecome(known.state(), state))
        known.become(FootageState::Scanned); // from there all are near
    if (state != known.state())
        known.become(state, why);
    learnChecksum(known);
    emit changed();
}

QString Captures::otherSentence(const KnownFootage& known, const QString& how)
{
    return tr("%1 isn't the footage that was added: %2. Its marks stay, marking is off; relink the capture to the file "
              "that was read.")
        .arg(QFileInfo(known.path).fileName(), how);
}

std::pair<FootageState, QString> Captures::stateOf(const KnownFootage& known, const session::Capture& capture) const
{
    const media::Footage& footage = *known.footage;
    // Packets tell no more than a guess, which decoding is about to settle.
    const auto& held = known.inSession;
    const bool isToFollowAgain = held.decoded && m_model.pending();
    const bool isSettling = known.isDecoding || held.isFollowing || held.hasFollowed || isToFollowAgain;
    if ((isSettling && footage.frameCount() != capture.frames) || held.isComparing)
        return {FootageState::Scanned, {}};
    if (footage.frameCount() != capture.frames)
        return {FootageState::Changed,
                otherSentence(known, tr("it has %n frame(s) instead of %1", nullptr, int(footage.frameCount().value))
                                         .arg(capture.frames.value))};
    if (footage.size.width != capture.width || footage.size.height != capture.height)
        return {FootageState::Changed, otherSentence(known, tr("its picture is %1 x %2 instead of %3 x %4")
                                                                .arg(footage.size.width)
                                                                .arg(footage.size.height)
                                                                .arg(capture.width)
                                                                .arg(capture.height))};
    if (!held.whyChanged.isEmpty())
        return {FootageState::Changed, held.whyChanged};
    QString damage = QString::fromStdString(footage.fault.value_or(std::string()));
    for (const QString& fault : {known.decodingFault, held.checksumFault})
        if (damage.isEmpty())
            damage = fault;
    return {known.isConfirmed() ? FootageState::Confirmed : FootageState::Viewable, damage};
}

FootageSource Captures::sourceOf(const session::Capture& capture) const
{
    return {m_model.furtherParts(capture), capture.stream};
}

const session::Capture* Captures::captureAt(const QString& path) const
{
    for (const auto& [id, capture] : m_model.document()->captures)
        if (m_model.footagePath(*capture) == path)
            return capture.get();
    return nullptr;
}

bool Captures::usable(const session::Capture& capture) const
{
    const FootageState state = status(capture).state;
    return state == FootageState::Viewable || state == FootageState::Confirmed;
}

Captures::Status Captures::status(const session::Capture& capture) const
{
    const QString path = m_model.footagePath(capture);
    if (!m_model.mayRead(capture))
        return {FootageState::Absent, false, 0,
                tr("%1 lies outside the session's folder and isn't read, as nobody has said that it may be; look for "
                   "it again to be asked.")
                    .arg(path)};
    const KnownFootage* known = m_pool.find(path);
    if (!known)
        return {};
    Status status{known->state(), known->isOpening, known->progress, known->sentence};
    if (status.state == FootageState::Scanned) {
        status.isUnderWay = true;
        status.progress = known->confirmedShare;
    }
    if (status.state == FootageState::Viewable && known->isDecoding)
        status.checked = int(100 * known->confirmedShare);
    return status;
}

} // namespace ui
