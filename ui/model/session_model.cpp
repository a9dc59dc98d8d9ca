#include "ui/model/session_model.h"
#include "core/error.h"
#include "ui/model/drafts.h"
#include "ui/model/file_paths.h"
#include "ui/model/worker.h"

#include <QDir>
#include <QFileInfo>
#include <QTimer>
#include <future>
#include <optional>

namespace ui {

namespace {

const QString suffix = QStringLiteral(".tallyframe");

QString sentenceOf(const std::exception& error) { return QString::fromUtf8(error.what()); }

} // namespace

class SessionModel::Impl {
public:
    explicit Impl(SessionModel& model) : m_model(model)
    {
        // An edit is accepted within a few milliseconds; a state line that changes for so short a time would flicker.
        m_slow.setSingleShot(true);
        m_slow.setInterval(400);
        QObject::connect(&m_slow, &QTimer::timeout, &model, [this] { emit m_model.stateChanged(); });
    }

    /// What the journal's thread reports is taken up on the window's thread. A late report of a session that has been
    /// closed since is known by its number.
    session::OpenSession::Notices notices(int number)
    {
        return {
            [this, number](std::int64_t sequence, std::shared_ptr<const session::Document> document) {
                QMetaObject::invokeMethod(
                    &m_model, [=, this] { accepted(number, sequence, document); }, Qt::QueuedConnection);
            },
            [this, number](const std::string& sentence, std::shared_ptr<const session::Document> document) {
                QMetaObject::invokeMethod(
                    &m_model, [=, this] { failed(number, QString::fromStdString(sentence), document); },
                    Qt::QueuedConnection);
            },
            [this, number](const std::string& sentence) {
                QMetaObject::invokeMethod(
                    &m_model, [=, this] { saved(number, QString::fromStdString(sentence)); }, Qt::QueuedConnection);
            },
            [this, number](const std::string& sentence) {
                const auto end = m_saveAs.end; // whoever waits for it may let go of it at once
                end->set_value(QString::fromStdString(sentence));
                QMetaObject::invokeMethod(
                    &m_model,
                    [=, this] {
                        if (number == m_number)
                            finishSaveAs();
                    },
                    Qt::QueuedConnection);
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
        m_failure.clear();
        if (!pending())
            m_slow.stop();
        m_model.m_document = document;
        emit m_model.changed();
        emit m_model.stateChanged();
    }

    void failed(int number, const QString& sentence, const std::shared_ptr<const session::Document>& document)
    {
        if (number != m_number)
            return;
        m_accepted = m_submitted;
        m_folder.from.reset();
        m_failure = sentence;
        m_slow.stop();
        m_model.m_document = document;
        emit m_model.problem(sentence);
        emit m_model.changed();
        emit m_model.stateChanged();
    }

    bool pending() const { return m_accepted < m_submitted || !m_saveAs.target.isEmpty(); }

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

    void saveOpen()
    {
        finishSaveAs();
        if (m_session && !m_session->readOnly() && !m_session->savedToFile() && !emptyDraft())
            m_session->save();
    }

    bool emptyDraft() const
    {
        return m_session && drafts::contains(fromPath(m_session->path())) && !m_session->readOnly()
               && !drafts::holdsAnything(m_session->latest());
    }

    void letGo()
    {
        if (!m_session)
            return;
        const QString path = fromPath(m_session->path());
        const bool remove = emptyDraft();
        m_session.reset();
        if (remove)
            guarded([&] { drafts::remove(path); });
    }

    using Make = std::function<std::unique_ptr<session::OpenSession>(session::OpenSession::Notices)>;
    /// Saves what is open, opens the other, and only then lets go of the first.
    bool replace(const Make& make)
    {
        return guarded([&] {
            saveOpen();
            auto opened = make(notices(m_number + 1));
            ++m_number;
            letGo();
            take(std::move(opened));
        });
    }

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
        emit m_model.sessionReplaced();
        emit m_model.changed();
        emit m_model.stateChanged();
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
        QMetaObject::invokeMethod(
            &m_model, [this, sentence] { emit m_model.problem(sentence); }, Qt::QueuedConnection);
    }

    void submitted(std::int64_t sequence)
    {
        m_submitted = std::max(m_submitted, sequence);
        if (!m_slow.isActive())
            m_slow.start();
    }

    /// Waits for the end of saving under another name, if that is under way, and goes on there.
    void finishSaveAs()
    {
        if (m_saveAs.target.isEmpty())
            return;
        const QString sentence = m_saveAs.end->get_future().get();
        const QString old = m_model.path();
        m_saveAs = {};
        if (m_session->takeSaveAs()) {
            rebase(QFileInfo(m_model.path()).absolutePath());
            drafts::forget(old);
            m_worker.run(
                [old](std::stop_token) {
                    drafts::remove(old);
                    return true;
                },
                [](bool) {}, [this](const QString& why) { emit m_model.problem(why); });
            emit m_model.savedAs(m_model.path());
        } else {
            emit m_model.problem(sentence);
        }
        emit m_model.changed();
        emit m_model.stateChanged();
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
    struct SaveAs {
        QString target; ///< empty: not under way
        std::shared_ptr<std::promise<QString>> end;
    };
    SessionModel& m_model;
    std::unique_ptr<session::OpenSession> m_session;
    int m_number = 0;
    std::int64_t m_submitted = 0, m_accepted = 0;
    QString m_failure;
    QTimer m_slow;
    Folder m_folder;
    SaveAs m_saveAs;
    Worker m_worker;
};

SessionModel::SessionModel(QObject* parent)
    : QObject(parent), m_impl(std::make_unique<Impl>(*this)), m_document(std::make_shared<const session::Document>())
{}

SessionModel::~SessionModel()
{
    try {
        m_impl->saveOpen();
    } catch (const std::exception& error) {
        // The journal holds every change, so nothing is lost; the next opening replays it.
        qWarning("%s", error.what());
    }
    m_impl->letGo();
}

bool SessionModel::newDraft()
{
    return m_impl->replace([](session::OpenSession::Notices notices) {
        return session::OpenSession::create(toPath(drafts::newPath()), std::move(notices));
    });
}

bool SessionModel::resumeDraft()
{
    const QStringList waiting = drafts();
    for (const QString& path : waiting) {
        std::unique_ptr<session::OpenSession> opened;
        const bool readable = m_impl->guarded(
            [&] { opened = session::OpenSession::open(toPath(path), m_impl->notices(m_impl->m_number + 1)); });
        if (!readable || opened->readOnly())
            continue; // broken drafts were reported; those open elsewhere belong to that window
        if (!drafts::holdsAnything(opened->latest())) {
            opened.reset();
            m_impl->guarded([&] { drafts::remove(path); });
            continue;
        }
        const bool replaced = m_impl->replace([&](const session::OpenSession::Notices&) { return std::move(opened); });
        if (replaced)
            m_impl->reportLater(tr("The session that had no name yet is open again, with every change. "
                                   "Save it under a name to keep it beside its footage."));
        return replaced;
    }
    return newDraft();
}

bool SessionModel::open(const QString& path)
{
    const QString absolute = QFileInfo(path).absoluteFilePath();
    if (m_impl->m_session && !readOnly() && QFileInfo(absolute) == QFileInfo(this->path()))
        return true; // opening it again would find it locked by ourselves
    return m_impl->replace([&](session::OpenSession::Notices notices) {
        return session::OpenSession::open(toPath(absolute), std::move(notices));
    });
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
    const QString target = QFileInfo(path.endsWith(suffix) ? path : path + suffix).absoluteFilePath();
    if (!readOnly() && QFileInfo(target) == QFileInfo(this->path()))
        return save();
    if (!m_impl->m_saveAs.target.isEmpty() || m_impl->m_folder.from) {
        emit problem(tr("The session is still being saved under another name; try again when that is done."));
        return false;
    }
    m_impl->m_saveAs = {target, std::make_shared<std::promise<QString>>()};
    const bool began = m_impl->guarded([&] { m_impl->m_session->startSaveAs(toPath(target)); });
    if (!began)
        m_impl->m_saveAs = {};
    emit stateChanged();
    return began;
}

bool SessionModel::close()
{
    if (!m_impl->guarded([this] { m_impl->saveOpen(); }))
        return false;
    ++m_impl->m_number;
    m_impl->letGo();
    m_impl->take(nullptr);
    return true;
}

bool SessionModel::discardDraft()
{
    if (!isDraft() || readOnly())
        return false;
    const QString path = this->path();
    return newDraft() && m_impl->guarded([&] { drafts::remove(path); });
}

QStringList SessionModel::drafts() const
{
    QStringList waiting = drafts::paths();
    waiting.removeAll(path());
    return waiting;
}

bool SessionModel::edit(const MakeEdit& make)
{
    if (!m_impl->m_session)
        return false;
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
    if (readOnly())
        return;
    // What the program did of itself is undone along with what the analyst did before; the desk does it again.
    while (session::followsFrames(undoLabel().toStdString()))
        if (!m_impl->guarded([this] { m_impl->submitted(m_impl->m_session->undo()); }))
            return;
    if (!undoLabel().isEmpty())
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
    return isDraft() || path().isEmpty() ? tr("New session") : QFileInfo(path()).fileName();
}

QString SessionModel::path() const { return m_impl->m_session ? fromPath(m_impl->m_session->path()) : QString(); }

QString SessionModel::folder() const { return m_impl->m_folder.now; }

QString SessionModel::evidenceFolder() const
{
    return m_impl->m_session ? fromPath(m_impl->m_session->evidenceFolder()) : QString();
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

bool SessionModel::isDraft() const { return m_impl->m_session && drafts::contains(path()); }

bool SessionModel::readOnly() const { return m_impl->m_session && m_impl->m_session->readOnly(); }

bool SessionModel::pending() const { return m_impl->pending(); }

QString SessionModel::state() const
{
    if (!m_impl->m_session)
        return tr("no session is open");
    if (!m_impl->m_saveAs.target.isEmpty())
        return tr("saving as %1").arg(QFileInfo(m_impl->m_saveAs.target).fileName());
    if (readOnly())
        return tr("read-only");
    if (!m_impl->m_failure.isEmpty())
        return tr("the last change isn't saved");
    if (pending() && !m_impl->m_slow.isActive())
        return tr("saving");
    if (isDraft())
        return m_impl->emptyDraft() ? tr("not saved yet") : tr("every change is kept, no name yet");
    return tr("every change is saved");
}

} // namespace ui
