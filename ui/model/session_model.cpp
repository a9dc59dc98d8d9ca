#include "ui/model/session_model.h"
#include "core/error.h"
#include "core/session/evidence_store.h"
#include "ui/model/disk_jobs.h"
#include "ui/model/drafts.h"
#include "ui/model/file_paths.h"
#include "ui/model/footage_folders.h"
#include "ui/model/mailbox.h"

#include <QDir>
#include <QElapsedTimer>
#include <QFileInfo>
#include <QTimer>
#include <algorithm>
#include <optional>

namespace ui {

namespace {

const QString suffix = QStringLiteral(".tallyframe");

QString sentenceOf(const std::exception& error) { return QString::fromUtf8(error.what()); }

} // namespace

class SessionModel::Impl {
public:
    Impl(SessionModel& model, SessionFiles files) : m_model(model), m_files(std::move(files))
    {
        // An edit is accepted within a few milliseconds, and most sessions are opened in some tens; a state line that
        // changes for so short a time would flicker.
        m_slow.setSingleShot(true);
        m_slow.setInterval(noticeable);
        m_patience.setSingleShot(true);
        m_patience.setTimerType(Qt::PreciseTimer); // never early
        for (QTimer* timer : {&m_slow, &m_patience})
            QObject::connect(timer, &QTimer::timeout, &model, [this] {
                if (m_since.isValid() && !m_patience.isActive() && m_since.elapsed() < longAfter)
                    m_patience.start(static_cast<int>(longAfter - m_since.elapsed()) + 1);
                emit m_model.stateChanged();
            });
    }

    /// What the session's own thread reports is taken up on the window's thread. A late report of a session that has
    /// been closed since is known by its number.
    session::OpenSession::Notices notices(int number)
    {
        const Mailbox mailbox = m_mailbox;
        return {
            [this, mailbox, number](std::int64_t sequence, std::shared_ptr<const session::Document> document) {
                mailbox.post([=, this] { accepted(number, sequence, document); });
            },
            [this, mailbox, number](const std::string& sentence, const std::shared_ptr<const session::Document>&) {
                mailbox.post([=, this] { failed(number, QString::fromStdString(sentence)); });
            },
            [this, mailbox, number](const std::string& sentence) {
                mailbox.post([=, this] { saved(number, QString::fromStdString(sentence)); });
            },
            [this, mailbox, number](const std::string& sentence) {
                mailbox.post([=, this] {
                    if (number == m_number)
                        finishSaveAs(QString::fromStdString(sentence));
                });
            },
            [this, mailbox, number] { mailbox.post([=, this] { recovered(number); }); },
            [this, mailbox, number](const std::string& sentence) {
                mailbox.post([=, this] {
                    if (number == m_number)
                        emit m_model.problem(QString::fromStdString(sentence));
                });
            },
        };
    }

    void saved(int number, const QString& sentence)
    {
        if (number != m_number)
            return;
        if (!sentence.isEmpty())
            emit m_model.problem(sentence);
        emit m_model.stateChanged();
    }

    void accepted(int number, std::int64_t sequence, const std::shared_ptr<const session::Document>& document)
    {
        if (number != m_number)
            return;
        m_accepted = std::max(m_accepted, sequence);
        if (m_folder.from && m_accepted >= *m_folder.from)
            m_folder = {m_folder.next, {}, {}};
        if (!pending())
            m_slow.stop();
        m_model.m_document = document;
        learnFootage();
        emit m_model.changed();
        emit m_model.stateChanged();
    }

    /// What was done last is in memory only; the sentence stays in view until it is on a disk.
    void failed(int number, const QString& sentence)
    {
        if (number != m_number)
            return;
        m_failure = sentence;
        emit m_model.problem(sentence);
        emit m_model.stateChanged();
    }

    void recovered(int number)
    {
        if (number != m_number)
            return;
        m_failure.clear();
        emit m_model.stateChanged();
    }

    bool pending() const { return m_accepted < m_submitted || saving(); }

    /// Whatever goes wrong becomes one sentence in the window.
    template <class Do> bool guarded(Do action)
    {
        try {
            action();
            return true;
        } catch (const std::exception& error) {
            emit m_model.problem(sentenceOf(error));
            return false;
        }
    }

    static bool isEmptyDraft(const session::OpenSession& open)
    {
        return drafts::contains(fromPath(open.path())) && !open.readOnly() && !drafts::holdsAnything(open.latest());
    }
    bool emptyDraft() const { return m_session && isEmptyDraft(*m_session); }

    /// What came of asking for a session.
    struct Made {
        std::unique_ptr<session::OpenSession> session; ///< null when there is none to be had
        QStringList problems;
        bool resumed = false;
    };
    using Make =
        std::function<std::unique_ptr<session::OpenSession>(const SessionFiles&, session::OpenSession::Notices)>;

    void beginOpening(const QString& name)
    {
        ++m_request;
        m_opening = name;
        m_afterLettingGo = {};
        beginWaiting();
    }

    void endOpening()
    {
        ++m_request;
        m_opening.clear();
        m_afterLettingGo = {};
        endWaiting();
    }

    void beginWaiting()
    {
        m_since.start();
        m_patience.start(noticeable);
        emit m_model.stateChanged();
    }

    void endWaiting()
    {
        m_since.invalidate();
        m_patience.stop();
        emit m_model.stateChanged();
    }

    bool slow() const { return m_since.isValid() && m_since.elapsed() >= longAfter; }
    bool waitShows() const { return m_since.isValid() && (m_since.elapsed() >= noticeable || !m_session); }

    void make(const Make& how)
    {
        gather([how](const SessionFiles& files, const session::OpenSession::Notices& notices) {
            return Made{how(files, notices), {}, false};
        });
    }

    /// Has the session that beginOpening() announced made or opened, and takes it.
    template <class Gather> void gather(Gather how, const QString& discard = {})
    {
        const int request = m_request, number = ++m_numbers;
        m_openings.run([how, files = m_files, notices = notices(number)] { return how(files, notices); },
                       [=, this](Made made) { arrived(request, number, discard, std::move(made)); },
                       [=, this](const QString& sentence) {
                           if (request != m_request)
                               return;
                           notOpened({sentence});
                       });
    }

    void arrived(int request, int number, const QString& discard, Made made)
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
        for (const QString& sentence : made.problems)
            emit m_model.problem(sentence);
        m_number = number;
        const After after = !discard.isEmpty() && discard == m_model.path() ? After::Discard : afterClosing();
        letGo(std::exchange(m_session, nullptr), after);
        take(std::move(made.session));
        if (made.resumed)
            reportLater(SessionModel::tr("The session that had no name yet is open again, with every change. "
                                         "Save it under a name to keep it beside its footage."));
        emit m_model.opened();
    }

    void notOpened(const QStringList& problems)
    {
        endOpening();
        for (const QString& sentence : problems)
            emit m_model.problem(sentence);
        emit m_model.notOpened();
    }

    enum class After {
        Nothing, ///< nothing was changed
        Save,
        Discard, ///< the draft goes, whatever it holds
    };
    After afterClosing() const
    {
        return !m_session || m_session->readOnly() ? After::Nothing : emptyDraft() ? After::Discard : After::Save;
    }

    /// What came of closing a session.
    struct Gone {
        std::unique_ptr<session::OpenSession> kept; ///< couldn't be saved
        QString sentence;                           ///< what went wrong; empty when nothing did
    };

    static Gone gone(std::unique_ptr<session::OpenSession> open, After after, const SessionFiles& files)
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
    static void keepAsDraft(Gone& result)
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

    /// Saved and closed beside the window. Whoever wants to open the same file again waits for it.
    void letGo(std::unique_ptr<session::OpenSession> open, After after)
    {
        if (!open)
            return;
        const QString path = fromPath(open->path());
        m_goingFrom << path;
        m_lettingGo.run(
            [files = m_files, after, open = std::move(open)]() mutable {
                Gone result = gone(std::move(open), after, files);
                if (result.kept)
                    keepAsDraft(result);
                return result;
            },
            [this, path](const Gone& result) {
                if (!result.sentence.isEmpty())
                    emit m_model.problem(result.sentence);
                isGone(path);
            },
            [this, path](const QString& sentence) {
                emit m_model.problem(sentence);
                isGone(path);
            });
    }

    void isGone(const QString& path)
    {
        m_goingFrom.removeOne(path);
        if (m_afterLettingGo && !m_goingFrom.contains(m_awaited))
            std::exchange(m_afterLettingGo, nullptr)();
    }

    /// Once no closing of that file is under way: it would be found locked by ourselves.
    void whenFree(const QString& path, std::function<void()> go)
    {
        if (!m_goingFrom.contains(path))
            return go();
        m_awaited = path;
        m_afterLettingGo = std::move(go);
    }

    void close()
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

    void isClosed(Gone result)
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

    bool saving() const { return !m_saveAs.isEmpty(); }

    void take(std::unique_ptr<session::OpenSession> opened)
    {
        m_session = std::move(opened);
        m_submitted = m_accepted = m_session ? m_session->sequence() : 0;
        m_failure.clear();
        m_slow.stop();
        m_folder = {m_session ? QFileInfo(fromPath(m_session->path())).absolutePath() : QString(), {}, {}};
        m_model.m_document = m_session ? std::make_shared<const session::Document>(m_session->latest())
                                       : std::make_shared<const session::Document>();
        if (m_session)
            report(m_session->reports());
        guardFootage();
        emit m_model.sessionReplaced();
        emit m_model.changed();
        emit m_model.stateChanged();
    }

    /// Where the footage of the captures lies, each folder once.
    QStringList footageFolders(const session::Document& document) const
    {
        QStringList folders;
        for (const auto& [id, capture] : document.captures)
            for (const QString& folder : foldersOf(*capture, m_folder.now))
                if (!folders.contains(folder))
                    folders << folder;
        return folders;
    }

    /// Drafts are the program's own.
    void guardFootage()
    {
        m_footageFolders.begin();
        m_captures = capturesNow();
        if (!m_session || !m_footageMemory.folders || m_model.isDraft())
            return;
        m_footageFolders.begin(m_folder.now, footageFolders(*m_model.m_document), m_footageMemory.folders(),
                               m_footageMemory.refused(m_model.path()));
        if (!m_footageFolders.toAskFor().isEmpty())
            m_mailbox.post([this] {
                if (!m_footageFolders.toAskFor().isEmpty())
                    emit m_model.footageAsked();
            });
    }

    std::vector<const session::Capture*> capturesNow() const
    {
        std::vector<const session::Capture*> captures;
        for (const auto& [id, capture] : m_model.m_document->captures)
            captures.push_back(capture.get());
        return captures;
    }

    /// What is taken in while the session is open is the analyst's own choice.
    void learnFootage()
    {
        std::vector<const session::Capture*> now = capturesNow();
        if (!m_footageMemory.folders || now == m_captures)
            return;
        m_captures = std::move(now);
        QStringList own;
        const QStringList known = m_footageMemory.folders(), all = footageFolders(*m_model.m_document);
        for (const QString& folder : all)
            if (m_footageFolders.mayRead({folder}) && !known.contains(folder))
                own << folder;
        if (!own.isEmpty())
            m_footageMemory.addFolders(own);
    }

    /// Queued: a session can be opened before the window that shows its reports is there.
    void report(const std::vector<std::string>& sentences)
    {
        for (const std::string& sentence : sentences)
            reportLater(QString::fromStdString(sentence));
        if (m_session->readOnly())
            reportLater(QString::fromStdString(m_session->readOnlyReason()));
    }
    void reportLater(const QString& sentence)
    {
        m_mailbox.post([this, sentence] { emit m_model.problem(sentence); });
    }

    void submitted(std::int64_t sequence)
    {
        m_submitted = std::max(m_submitted, sequence);
        if (!m_slow.isActive())
            m_slow.start();
    }

    /// Saving under another name has come to its end: goes on there, if it went well.
    void finishSaveAs(const QString& sentence)
    {
        if (!saving())
            return;
        const QString old = m_model.path();
        m_saveAs.clear();
        if (m_session->takeSaveAs()) {
            rebase(QFileInfo(m_model.path()).absolutePath());
            removeDraft(old);
            emit m_model.savedAs(m_model.path());
        } else {
            emit m_model.problem(sentence);
        }
        emit m_model.changed();
        emit m_model.stateChanged();
        for (const auto& waiting : std::exchange(m_afterSaveAs, {}))
            waiting();
    }

    void removeDraft(const QString& path)
    {
        if (!drafts::contains(path))
            return;
        m_goingFrom << path;
        m_lettingGo.run(
            [path] {
                drafts::remove(path);
                return true;
            },
            [this, path](bool) { isGone(path); },
            [this, path](const QString& sentence) {
                emit m_model.problem(sentence);
                isGone(path);
            });
    }

    /// A session saved under another folder keeps its footage: paths are taken relative to the new one. Until that edit
    /// is accepted folder() is the one that the document's paths are relative to.
    void rebase(const QString& folder)
    {
        if (folder == m_folder.now)
            return;
        const session::Document& latest = m_session->latest();
        session::EditBuilder builder(latest, "move paths with the session");
        bool moved = false;
        for (const auto& [id, capture] : latest.captures) {
            session::Capture copy = *capture;
            copy.path = relativeTo(folder, m_model.footagePath(*capture)).toStdString();
            const QStringList further = m_model.furtherParts(*capture);
            for (std::size_t i = 0; i < copy.furtherParts.size(); ++i)
                copy.furtherParts[i].path = relativeTo(folder, further[static_cast<qsizetype>(i)]).toStdString();
            if (copy == *capture)
                continue;
            builder.put(std::move(copy));
            moved = true;
        }
        for (const auto& [id, earlier] : latest.earlierSessions) {
            session::EarlierSession copy = *earlier;
            copy.path = relativeTo(folder, QDir(m_folder.now).absoluteFilePath(QString::fromStdString(earlier->path)))
                            .toStdString();
            if (copy == *earlier)
                continue;
            builder.put(copy);
            moved = true;
        }
        if (!moved) {
            m_folder = {folder, {}, {}};
            return;
        }
        guarded([&] {
            const std::int64_t sequence = m_session->submit(std::move(builder).finish());
            submitted(sequence);
            m_folder.next = folder;
            m_folder.from = sequence;
            m_session->startSave();
        });
    }

    static QString relativeTo(const QString& folder, const QString& absolute)
    {
        const QString relative = QDir(folder).relativeFilePath(absolute);
        const bool below = !relative.startsWith(QLatin1String("..")) && !QDir::isAbsolutePath(relative);
        return below ? relative : QDir::cleanPath(absolute);
    }

    struct Folder {
        QString now;  ///< paths in the document are relative to it
        QString next; ///< from that change on
        std::optional<std::int64_t> from;
    };
    static constexpr int noticeable = 400, longAfter = 3000; ///< ms
    SessionModel& m_model;
    SessionFiles m_files;
    std::unique_ptr<session::OpenSession> m_session;
    int m_number = 0;  ///< of the session that is open
    int m_numbers = 0; ///< of all that were asked for
    std::int64_t m_submitted = 0, m_accepted = 0;
    QString m_failure;
    QTimer m_slow;
    Folder m_folder;
    FootageMemory m_footageMemory;
    FootageFolders m_footageFolders;
    std::vector<const session::Capture*> m_captures; ///< when footage was learned of last; for comparing alone
    QString m_saveAs;                                ///< under way to this file; empty: not

    int m_request = 0; ///< the latest; what comes of earlier ones is let go of
    QString m_opening; ///< name of what is on its way
    QString m_closing; ///< name of what close() was asked for
    QElapsedTimer m_since;
    QTimer m_patience;
    QStringList m_goingFrom; ///< files that are being closed
    QString m_awaited;
    std::function<void()> m_afterLettingGo;
    std::vector<std::function<void()>> m_afterSaveAs;
    bool m_left = false;

    // Last: what they deliver uses all of the above.
    Mailbox m_mailbox;
    DiskJobs m_openings, m_lettingGo, m_lookUps;
};

SessionModel::SessionModel(SessionFiles files, QObject* parent)
    : QObject(parent), m_impl(std::make_unique<Impl>(*this, std::move(files))),
      m_document(std::make_shared<const session::Document>())
{}

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
    m_impl->make([](const SessionFiles& files, session::OpenSession::Notices notices) {
        return files.create(toPath(drafts::newPath()), std::move(notices));
    });
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
                m_impl->make([absolute](const SessionFiles& files, session::OpenSession::Notices notices) {
                    return files.open(toPath(absolute), std::move(notices));
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

bool SessionModel::save()
{
    if (!m_impl->m_session || readOnly())
        return false;
    return m_impl->guarded([this] { m_impl->m_session->startSave(); });
}

bool SessionModel::saveAs(const QString& path)
{
    if (!m_impl->m_session)
        return false;
    const QString target = QDir::cleanPath(QFileInfo(path.endsWith(suffix) ? path : path + suffix).absoluteFilePath());
    if (!readOnly() && target == this->path())
        return save();
    if (m_impl->saving() || m_impl->m_folder.from) {
        emit problem(tr("The session is still being saved under another name; try again when that is done."));
        return false;
    }
    m_impl->m_saveAs = target;
    const bool began = m_impl->guarded([&] { m_impl->m_session->startSaveAs(toPath(target)); });
    if (!began)
        m_impl->m_saveAs.clear();
    emit stateChanged();
    return began;
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

void SessionModel::discardDraft()
{
    if (!isDraft() || readOnly() || phase() == Phase::Closing)
        return;
    m_impl->beginOpening(tr("a new session"));
    m_impl->gather(
        [](const SessionFiles& files, const session::OpenSession::Notices& notices) {
            return Impl::Made{files.create(toPath(drafts::newPath()), notices), {}, false};
        },
        path());
}

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

bool SessionModel::edit(const MakeEdit& make)
{
    if (!m_impl->m_session) {
        if (phase() == Phase::Closing)
            emit problem(tr("Nothing was changed: the session is being closed."));
        return false;
    }
    if (readOnly()) {
        emit problem(tr("Nothing was changed: the session is open read-only. %1")
                         .arg(QString::fromStdString(m_impl->m_session->readOnlyReason())));
        return false;
    }
    const bool sent =
        m_impl->guarded([&] { m_impl->submitted(m_impl->m_session->submit(make(m_impl->m_session->latest()))); });
    return sent;
}

void SessionModel::undo()
{
    if (!undoLabel().isEmpty() && !readOnly())
        m_impl->guarded([this] { m_impl->submitted(m_impl->m_session->undo()); });
}

void SessionModel::redo()
{
    if (!redoLabel().isEmpty() && !readOnly())
        m_impl->guarded([this] { m_impl->submitted(m_impl->m_session->redo()); });
}

QString SessionModel::undoLabel() const
{
    return m_impl->m_session ? QString::fromStdString(m_impl->m_session->undoLabel().value_or(std::string()))
                             : QString();
}

QString SessionModel::redoLabel() const
{
    return m_impl->m_session ? QString::fromStdString(m_impl->m_session->redoLabel().value_or(std::string()))
                             : QString();
}

QString SessionModel::title() const
{
    if (phase() == Phase::Closing)
        return m_impl->m_closing;
    return isDraft() || path().isEmpty() ? tr("New session") : QFileInfo(path()).fileName();
}

QString SessionModel::path() const { return m_impl->m_session ? fromPath(m_impl->m_session->path()) : QString(); }

QString SessionModel::folder() const { return m_impl->m_folder.now; }

std::shared_ptr<session::EvidenceStore> SessionModel::evidence() const
{
    return m_impl->m_session ? m_impl->m_session->evidence() : nullptr;
}

QString SessionModel::footagePath(const session::Capture& capture) const
{
    return QDir::cleanPath(QDir(folder()).absoluteFilePath(QString::fromStdString(capture.path)));
}

QStringList SessionModel::furtherParts(const session::Capture& capture) const
{
    QStringList paths;
    for (const session::FurtherPart& part : capture.furtherParts)
        paths << QDir::cleanPath(QDir(folder()).absoluteFilePath(QString::fromStdString(part.path)));
    return paths;
}

QString SessionModel::pathInSession(const QString& absolute) const
{
    // While the folder changes only a whole path stays right.
    return m_impl->m_folder.from ? QDir::cleanPath(absolute) : Impl::relativeTo(folder(), absolute);
}

void SessionModel::setFootageMemory(FootageMemory memory)
{
    m_impl->m_footageMemory = std::move(memory);
    m_impl->guardFootage();
}

bool SessionModel::mayRead(const session::Capture& capture) const
{
    return m_impl->m_footageFolders.mayRead(foldersOf(capture, folder()));
}

std::set<session::CaptureId> SessionModel::notToBeRead() const
{
    std::set<session::CaptureId> captures;
    for (const auto& [id, capture] : m_document->captures)
        if (!mayRead(*capture))
            captures.insert(id);
    return captures;
}

QStringList SessionModel::footageToAskFor() const { return m_impl->m_footageFolders.toAskFor(); }

void SessionModel::answerFootage(bool mayBeRead)
{
    const QStringList folders = footageToAskFor();
    if (folders.isEmpty())
        return;
    m_impl->m_footageFolders.answer(mayBeRead);
    if (mayBeRead)
        m_impl->m_footageMemory.addFolders(folders);
    m_impl->m_footageMemory.setRefused(path(), m_impl->m_footageFolders.refused());
    emit changed();
}

void SessionModel::askForFootageAgain()
{
    m_impl->m_footageFolders.askAgain();
    if (!footageToAskFor().isEmpty())
        emit footageAsked();
}

bool SessionModel::isDraft() const { return m_impl->m_session && drafts::contains(path()); }

bool SessionModel::readOnly() const { return m_impl->m_session && m_impl->m_session->readOnly(); }

bool SessionModel::pending() const { return m_impl->pending(); }

QString SessionModel::state() const
{
    if (phase() == Phase::Closing)
        return slow() ? tr("closing, its disk doesn't answer") : tr("closing");
    if (phase() == Phase::Opening && m_impl->waitShows())
        return slow() ? tr("opening %1, its disk doesn't answer").arg(m_impl->m_opening)
                      : tr("opening %1").arg(m_impl->m_opening);
    if (!m_impl->m_session)
        return tr("no session is open");
    if (m_impl->saving())
        return tr("saving as %1").arg(QFileInfo(m_impl->m_saveAs).fileName());
    if (readOnly())
        return tr("read-only");
    if (!m_impl->m_failure.isEmpty())
        return tr("changes are not on disk");
    if (pending() && !m_impl->m_slow.isActive())
        return tr("saving");
    if (isDraft())
        return m_impl->emptyDraft() ? tr("not saved yet") : tr("every change is kept, no name yet");
    return tr("every change is saved");
}

} // namespace ui
