// How sessions come and go: opened, made, closed, each beside the window, for a disk may never answer.
#include "ui/model/drafts.h"
#include "ui/model/file_paths.h"
#include "ui/model/session_model_impl.h"

#include <QFileInfo>

namespace ui {

bool SessionModel::Impl::isEmptyDraft(const session::OpenSession& open)
{
    return drafts::contains(fromPath(open.path())) && !open.readOnly() && !drafts::holdsAnything(open.latest());
}

void SessionModel::Impl::beginOpening(const QString& name)
{
    ++m_request;
    m_opening = name;
    m_afterLettingGo = {};
    beginWaiting();
}

void SessionModel::Impl::endOpening()
{
    ++m_request;
    m_opening.clear();
    m_afterLettingGo = {};
    endWaiting();
}

void SessionModel::Impl::beginWaiting()
{
    m_since.start();
    m_patience.start(noticeable);
    emit m_model.stateChanged();
}

void SessionModel::Impl::endWaiting()
{
    m_since.invalidate();
    m_patience.stop();
    emit m_model.stateChanged();
}

void SessionModel::Impl::gather(Gather how, const QString& discard)
{
    const int request = m_request, number = ++m_numbers;
    m_openings.run([how = std::move(how), files = m_files, notices = notices(number)] { return how(files, notices); },
                   [=, this](Made made) { arrived(request, number, discard, std::move(made)); },
                   [=, this](const QString& sentence) {
                       if (request == m_request)
                           notOpened({sentence});
                   });
}

void SessionModel::Impl::arrived(int request, int number, const QString& discard, Made made)
{
    if (request != m_request) {
        const bool empty = made.session && isEmptyDraft(*made.session);
        letGo(std::move(made.session), empty ? After::Discard : After::Nothing); // another was asked for meanwhile
        return;
    }
    if (saving()) { // what is open goes only when it is whole under its new name
        m_afterSaveAs.push_back([=, this, kept = std::make_shared<Made>(std::move(made))] {
            arrived(request, number, discard, std::move(*kept));
        });
        return;
    }
    if (!made.session)
        return notOpened(made.problems);
    endOpening();
    tell(made.problems);
    m_number = number;
    const After after = !discard.isEmpty() && discard == m_model.path() ? After::Discard : afterClosing();
    letGo(std::exchange(m_session, nullptr), after);
    take(std::move(made.session));
    if (made.resumed)
        reportLater(SessionModel::tr("The session that had no name yet is open again, with every change. "
                                     "Save it under a name to keep it beside its footage."));
    emit m_model.opened();
}

void SessionModel::Impl::notOpened(const QStringList& problems)
{
    endOpening();
    tell(problems);
    emit m_model.notOpened();
}

SessionModel::Impl::After SessionModel::Impl::afterClosing() const
{
    return !m_session || m_session->readOnly() ? After::Nothing : emptyDraft() ? After::Discard : After::Save;
}

/// What came of closing a session.
struct SessionModel::Impl::Gone {
    std::unique_ptr<session::OpenSession> kept{}; ///< couldn't be saved
    QString sentence{};                           ///< what went wrong; empty when nothing did
};

SessionModel::Impl::Gone SessionModel::Impl::gone(std::unique_ptr<session::OpenSession> open, After after,
                                                  const SessionFiles& files)
{
    Gone result;
    try {
        const QString path = fromPath(open->path());
        if (after == After::Save)
            files.save(*open);
        open.reset();
        if (after == After::Discard)
            drafts::remove(path);
    } catch (const std::exception& error) {
        result.sentence = sentenceOf(error);
        result.kept = std::move(open);
    }
    return result;
}

/// What can't be written where it belongs is kept where sessions without a name lie, to be found there again.
void SessionModel::Impl::keepAsDraft(Gone& result)
{
    try {
        result.kept->saveAs(toPath(drafts::newPath()));
        result.sentence += SessionModel::tr(" The session is kept, with every change, without a name; "
                                            "it is open again when the program starts.");
    } catch (const std::exception& error) {
        result.sentence += QLatin1Char(' ') + sentenceOf(error);
    }
    result.kept.reset();
}

template <class Job> void SessionModel::Impl::workOn(const QString& path, Job job)
{
    m_goingFrom << path;
    const auto isGone = [this, path](const QString& sentence) {
        if (!sentence.isEmpty())
            emit m_model.problem(sentence);
        m_goingFrom.removeOne(path);
        if (m_afterLettingGo && !m_goingFrom.contains(m_awaited))
            std::exchange(m_afterLettingGo, nullptr)();
    };
    m_lettingGo.run(std::move(job), isGone, isGone);
}

void SessionModel::Impl::letGo(std::unique_ptr<session::OpenSession> open, After after)
{
    if (!open)
        return;
    const QString path = fromPath(open->path());
    workOn(path, [files = m_files, after, open = std::move(open)]() mutable {
        Gone result = gone(std::move(open), after, files);
        if (result.kept)
            keepAsDraft(result);
        return result.sentence;
    });
}

void SessionModel::Impl::removeDraft(const QString& path)
{
    if (drafts::contains(path))
        workOn(path, [path] {
            drafts::remove(path);
            return QString();
        });
}

void SessionModel::Impl::whenFree(const QString& path, std::function<void()> go)
{
    if (!m_goingFrom.contains(path))
        return go();
    m_awaited = path;
    m_afterLettingGo = std::move(go);
}

void SessionModel::Impl::close()
{
    if (saving()) {
        m_afterSaveAs.push_back([this] { close(); });
        return;
    }
    const After after = afterClosing();
    m_lettingGo.run(
        [files = m_files, after, open = std::exchange(m_session, nullptr)]() mutable {
            return gone(std::move(open), after, files);
        },
        [this](Gone result) { isClosed(std::move(result)); },
        [this](const QString& sentence) {
            isClosed({nullptr, sentence});
        });
}

void SessionModel::Impl::isClosed(Gone result)
{
    m_closing.clear();
    endWaiting();
    if (!result.sentence.isEmpty())
        emit m_model.problem(result.sentence);
    if (result.kept) {
        m_session = std::move(result.kept);
        emit m_model.stateChanged();
        emit m_model.notClosed();
        return;
    }
    m_number = ++m_numbers;
    take(nullptr);
    emit m_model.closed();
}

void SessionModel::Impl::take(std::unique_ptr<session::OpenSession> opened)
{
    m_session = std::move(opened);
    m_submitted = m_accepted = m_session ? m_session->sequence() : 0;
    m_failure.clear();
    m_slow.stop();
    m_folder = {m_session ? QFileInfo(fromPath(m_session->path())).absolutePath() : QString(), {}, {}};
    m_model.m_document = m_session ? std::make_shared<const session::Document>(m_session->latest())
                                   : std::make_shared<const session::Document>();
    if (m_session) {
        for (const std::string& sentence : m_session->reports())
            reportLater(QString::fromStdString(sentence));
        if (m_session->readOnly())
            reportLater(QString::fromStdString(m_session->readOnlyReason()));
    }
    guardFootage();
    emit m_model.sessionReplaced();
    emit m_model.changed();
    emit m_model.stateChanged();
}

/// Queued: a session can be opened before the window that shows its reports is there.
void SessionModel::Impl::reportLater(const QString& sentence)
{
    m_mailbox.post([this, sentence] { emit m_model.problem(sentence); });
}

SessionModel::~SessionModel()
{
    using namespace std::chrono_literals;
    m_impl->m_mailbox.close();
    blockSignals(true);
    const auto after = m_impl->afterClosing();
    m_impl->letGo(std::exchange(m_impl->m_session, nullptr), after);
    if (!m_impl->m_left && !m_impl->m_lettingGo.wait(5s))
        qWarning("A session was still being closed when the program ended.");
}

void SessionModel::newDraft()
{
    if (phase() == Phase::Closing)
        return;
    m_impl->beginOpening(tr("a new session"));
    m_impl->gather([](const SessionFiles& files, const session::OpenSession::Notices& notices) {
        return Impl::Made{files.create(toPath(drafts::newPath()), notices)};
    });
}

void SessionModel::discardDraft()
{
    if (!isDraft() || readOnly() || phase() == Phase::Closing)
        return;
    m_impl->beginOpening(tr("a new session"));
    m_impl->gather(
        [](const SessionFiles& files, const session::OpenSession::Notices& notices) {
            return Impl::Made{files.create(toPath(drafts::newPath()), notices)};
        },
        path());
}

void SessionModel::resumeDraft()
{
    if (phase() == Phase::Closing)
        return;
    m_impl->beginOpening(tr("the session without a name"));
    m_impl->gather([inUse = m_impl->m_goingFrom + QStringList(path())](const SessionFiles& files,
                                                                       const session::OpenSession::Notices& notices) {
        Impl::Made made;
        for (const QString& path : drafts::paths()) {
            if (inUse.contains(path))
                continue;
            try {
                auto opened = files.open(toPath(path), notices);
                if (opened->readOnly())
                    continue; // it belongs to another window
                if (drafts::holdsAnything(opened->latest())) {
                    made.session = std::move(opened);
                    made.resumed = true;
                    return made;
                }
                opened.reset();
                drafts::remove(path);
            } catch (const std::exception& error) {
                made.problems << sentenceOf(error);
            }
        }
        try {
            made.session = files.create(toPath(drafts::newPath()), notices);
        } catch (const std::exception& error) {
            made.problems << sentenceOf(error);
        }
        return made;
    });
}

void SessionModel::open(const QString& path)
{
    if (phase() == Phase::Closing)
        return;
    const QString absolute = QFileInfo(path).absoluteFilePath();
    m_impl->beginOpening(QFileInfo(absolute).fileName());
    const int request = m_impl->m_request;
    m_impl->m_lookUps.run(
        [absolute] {
            const QString canonical = QFileInfo(absolute).canonicalFilePath();
            return canonical.isEmpty() ? absolute : canonical;
        },
        [this, request, absolute](const QString& canonical) {
            if (request != m_impl->m_request)
                return;
            if (m_impl->m_session && !readOnly() && canonical == this->path()) {
                m_impl->endOpening(); // opening it again would find it locked by ourselves
                emit opened();
                return;
            }
            m_impl->whenFree(canonical, [this, absolute] {
                m_impl->gather([absolute](const SessionFiles& files, const session::OpenSession::Notices& notices) {
                    return Impl::Made{files.open(toPath(absolute), notices)};
                });
            });
        },
        [this, request](const QString& sentence) {
            if (request == m_impl->m_request)
                m_impl->notOpened({sentence});
        });
}

void SessionModel::stopOpening()
{
    if (phase() == Phase::Opening)
        m_impl->endOpening();
}

void SessionModel::close()
{
    if (phase() == Phase::Closing)
        return;
    stopOpening();
    if (!m_impl->m_session) {
        emit closed();
        return;
    }
    m_impl->m_closing = title();
    m_impl->beginWaiting();
    m_impl->close();
}

void SessionModel::leave() { m_impl->m_left = true; }

void SessionModel::findDrafts()
{
    m_impl->m_lookUps.run(
        [inUse = m_impl->m_goingFrom + QStringList(path())] {
            QVector<WaitingDraft> waiting;
            for (const QString& path : drafts::paths())
                if (!inUse.contains(path))
                    waiting.append({path, QFileInfo(path).lastModified()});
            return waiting;
        },
        [this](const QVector<WaitingDraft>& waiting) { emit draftsFound(waiting); },
        [this](const QString& sentence) { emit problem(sentence); });
}

SessionModel::Phase SessionModel::phase() const
{
    return !m_impl->m_closing.isEmpty()   ? Phase::Closing
           : !m_impl->m_opening.isEmpty() ? Phase::Opening
           : m_impl->m_session            ? Phase::Open
                                          : Phase::Nothing;
}

bool SessionModel::slow() const { return m_impl->slow(); }

} // namespace ui
