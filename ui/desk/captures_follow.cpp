#include "core/reading/follow_frames.h"
#include "core/reading/same_footage.h"
#include "ui/desk/captures.h"

namespace ui {

/// The checksum of large footage takes minutes. Until it is there, one picture that was marked tells whether this is
/// the film that was marked in: nothing may be marked in another one meanwhile.
void Captures::compareMarked(KnownFootage& known, const session::Capture& capture)
{
    const auto marked = session::markedPictures(*m_model.document(), capture.id);
    if (marked.empty())
        return;
    known.inSession.isComparing = true;
    runFor(
        known,
        [footage = known.footage, first = *marked.begin()](std::stop_token stop) {
            media::FrameReader reader(footage, stop);
            return reading::shows(reader, first, stop);
        },
        [this, footage = known.footage, frame = marked.begin()->first](KnownFootage& compared, bool same) {
            markedCompared(compared, footage, frame, same);
        },
        [this](KnownFootage& compared, const QString& sentence) {
            if (!std::exchange(compared.inSession.isComparing, false))
                return;
            compared.inSession.whyChanged = sentence;
            settle(compared);
        });
}

void Captures::markedCompared(KnownFootage& known, const std::shared_ptr<const media::Footage>& footage,
                              timing::FrameNumber frame, bool same)
{
    if (!known.inSession.isComparing || known.footage != footage)
        return;
    // Scanned frames may yet get other numbers: then it is compared again.
    if (!same && known.isDecoding)
        return;
    known.inSession.isComparing = false;
    const session::Capture* capture = captureAt(known.path);
    if (same && capture && footage->confirmed && !known.inSession.confirmation
        && !reading::withoutPacket(*m_model.document(), capture->id).empty())
        beginFollowing(known, {footage, {}, {}});
    if (!same)
        known.inSession.whyChanged =
            otherSentence(known, tr("its frame %1 isn't the picture that was marked").arg(frame.value));
    settle(known);
}

/// Footage can be read as soon as its packets are known; decoding then confirms which frames there are. Where it finds
/// others, or finds damage, the session follows: marks stay on the picture they were set on.
void Captures::confirmed(const QString& path, const media::Confirmation& confirmation)
{
    KnownFootage& known = *m_pool.find(path);
    known.inSession.confirmation = confirmation;
    known.inSession.decoded.reset();
    if (m_paths.contains(path)) // else it is being added
        beginFollowing(known, confirmation);
}

/// Until the session has followed, its frame numbers and the footage's may differ: nothing can be marked meanwhile.
void Captures::beginFollowing(KnownFootage& known, const media::Confirmation& confirmation)
{
    if (!confirmation.moved.empty())
        known.inSession.isComparing = true;
    known.inSession.isFollowing = true;
    settle(known);
    const session::Capture* capture = captureAt(known.path);
    if (!capture || m_model.readOnly())
        return followed(known, {}, {});
    runFor(
        known,
        [confirmation, document = m_model.document(), id = capture->id](std::stop_token stop) {
            return std::make_shared<const session::DecodedFrames>(
                reading::decodedFrames(confirmation, *document, id, stop));
        },
        [this](KnownFootage& decoded, const auto& found) { follow(decoded, found); },
        [this](KnownFootage& decoded, const QString& sentence) { followed(decoded, {}, sentence); });
}

/// Whether this is the film that was added, as far as can be told without its marks; empty while its checksum is yet to
/// tell.
static std::optional<bool> isWhatWasAdded(const session::Capture& capture, const KnownFootage& known,
                                          const session::DecodedFrames& found)
{
    const auto& held = known.inSession;
    if (!capture.sha256.empty() && held.sha256.empty() && held.checksumFault.isEmpty())
        return {};
    if (!capture.sha256.empty())
        return held.sha256 == capture.sha256;
    const auto scanned = found.moved.empty() ? found.capture.frames : timing::FrameCount{std::ssize(found.moved)};
    return capture.frames == scanned || capture.frames == found.capture.frames;
}

void Captures::follow(KnownFootage& known, const std::shared_ptr<const session::DecodedFrames>& found)
{
    if (m_model.phase() == SessionModel::Phase::Closing)
        return;                               // it is being closed: the next time it is opened tells the same
    const auto document = m_model.document(); // following makes another
    const session::Capture* now = captureAt(known.path);
    const bool isMarked = now && !session::markedPictures(*document, now->id).empty(); // and was compared
    if (now && !isMarked && !session::followFrames(*document, now->id, *found).changes.empty()) {
        const std::optional<bool> isIt = isWhatWasAdded(*now, known, *found);
        known.inSession.waiting = isIt ? nullptr : found;
        if (!isIt)
            return;
        if (!*isIt) // another film lies there by now: nothing is taken over from it
            return followed(known, {}, {});
    }
    bool went = true, changes = false;
    if (now)
        went = m_model.edit([&](const session::Document& latest) { // with marks that are yet being written
            session::Edit edit = isOf(known, latest, now->id) ? session::followFrames(latest, now->id, *found)
                                                              : session::Edit{}; // on its way out
            changes = !edit.changes.empty();
            return edit;
        });
    const std::vector<std::string>& notes = found->capture.notes;
    const auto& difference = known.inSession.confirmation ? known.inSession.confirmation->difference : std::nullopt;
    if (went && changes && difference)
        emit problem(QString::fromStdString(*difference));
    else if (went && changes && !notes.empty())
        emit problem(tr("%1: %2").arg(QString::fromStdString(now->name), QString::fromStdString(notes.front())));
    followed(known, found,
             went ? QString()
                  : tr("The frames of %1 have other numbers than its packets told, and the session can't follow; "
                       "marking in it is off.")
                        .arg(QString::fromStdString(now->name)));
}

void Captures::followed(KnownFootage& known, const std::shared_ptr<const session::DecodedFrames>& found,
                        const QString& fault)
{
    auto& held = known.inSession;
    held.isFollowing = false;
    held.hasFollowed = true;
    if (found && !found->moved.empty())
        held.decoded = found;
    if (!fault.isEmpty()) {
        held.whyChanged = fault;
        emit problem(fault);
    }
    followingAccepted();
    settleAll();
}

/// Of what was added, not of another film in its place.
void Captures::learnChecksum(KnownFootage& known)
{
    const session::Capture* capture = captureAt(known.path);
    if (!capture || m_model.readOnly() || m_model.phase() == SessionModel::Phase::Closing
        || !known.inSession.isToBeLearned || !usable(*capture))
        return;
    known.inSession.isToBeLearned = false;
    if (capture->sha256.empty())
        m_model.edit([&](const session::Document& latest) {
            return isOf(known, latest, capture->id)
                       ? session::learnChecksum(latest, capture->id, known.inSession.sha256)
                       : session::Edit{};
        });
}

/// With what waited for the checksum.
void Captures::goOnFollowing(KnownFootage& known)
{
    if (const auto found = std::exchange(known.inSession.waiting, nullptr))
        follow(known, found);
}

/// Marked pictures are compared once the session's frame numbers are those of the decoded footage.
void Captures::followingAccepted()
{
    if (m_model.pending())
        return;
    for (const QString& path : std::as_const(m_paths)) {
        KnownFootage* known = m_pool.find(path);
        if (!known || !std::exchange(known->inSession.hasFollowed, false)
            || !std::exchange(known->inSession.isComparing, false))
            continue;
        const session::Capture* capture = captureAt(path);
        if (capture && known->isOpen() && stateOf(*known, *capture).first != FootageState::Changed)
            compareMarked(*known, *capture);
    }
}

/// Undo, redo and changes that couldn't be written bring back numbers that the footage had before it was decoded, and
/// a mark may come by such a number.
void Captures::followAgain()
{
    if (m_model.pending() || m_model.readOnly())
        return;
    for (const QString& path : std::as_const(m_paths)) {
        KnownFootage* known = m_pool.find(path);
        const session::Capture* capture = captureAt(path);
        if (!known || !capture || !known->inSession.decoded)
            continue;
        auto& held = known->inSession;
        if (held.isFollowing || held.hasFollowed || !held.whyChanged.isEmpty())
            continue;
        const auto follow = [&](const session::Document& document) {
            return isOf(*known, document, capture->id) ? session::followFrames(document, capture->id, *held.decoded)
                                                       : session::Edit{};
        };
        if (!follow(*m_model.document()).changes.empty())
            held.hasFollowed = m_model.edit(follow);
    }
}

/// Joined or undone meanwhile it is other footage, and nothing that was found of this one holds for it.
bool Captures::isOf(const KnownFootage& known, const session::Document& document, session::CaptureId id) const
{
    const session::Capture* capture = session::find(document, id);
    return capture && m_model.footagePath(*capture) == known.path && sourceOf(*capture) == known.source;
}

/// One after the other, and only where nobody waits for anything to be opened or decoded from that disk.
void Captures::takeChecksums()
{
    if (m_pool.isOpeningAny())
        return;
    for (const QString& path : std::as_const(m_paths))
        if (const KnownFootage* known = m_pool.find(path); known && known->isHashing)
            return;
    for (const QString& path : std::as_const(m_paths)) {
        KnownFootage* known = m_pool.find(path);
        if (!known || !known->isOpen() || known->isDecoding || std::exchange(known->inSession.isChecked, true))
            continue;
        m_pool.checksum(path);
        return;
    }
}

void Captures::checksumReady(const QString& path, const QString& sha256)
{
    KnownFootage* known = m_pool.find(path);
    const auto document = m_model.document(); // learning makes another
    const session::Capture* capture = captureAt(path);
    if (known) {
        known->inSession.sha256 = sha256.toStdString();
        known->inSession.isToBeLearned = true;
        learnChecksum(*known);
    }
    if (known && capture && !capture->sha256.empty() && capture->sha256 != sha256.toStdString()) {
        known->inSession.whyChanged = otherSentence(*known, tr("its checksum differs"));
        settle(*known);
    }
    if (known)
        goOnFollowing(*known);
    takeChecksums();
}

} // namespace ui
