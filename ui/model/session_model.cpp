#include "ui/model/session_model.h"
#include "core/error.h"
#include "ui/model/drafts.h"
#include "ui/model/file_paths.h"

#include <QDir>
#include <QFileInfo>
#include <QTimer>

namespace ui {

namespace {

const QString suffix = QStringLiteral(".tallyframe");

QString sentenceOf(const std::exception& error)
{
    return QString::fromUtf8(error.what());
}

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
        m_failure = sentence;
        m_slow.stop();
        m_model.m_document = document;
        emit m_model.problem(sentence);
        emit m_model.changed();
        emit m_model.stateChanged();
    }

    bool pending() const { return m_accepted < m_submitted; }

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
        m_submitted = m_accepted = 0;
        m_failure.clear();
        m_slow.stop();
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

    /// A session saved under another folder keeps its footage: paths are taken relative to the new one.
    struct Paths {
        session::CaptureId id;
        QString path;
        QStringList furtherParts;
    };
    void rebase(const std::vector<Paths>& absolute)
    {
        const session::Document& latest = m_session->latest();
        session::EditBuilder builder(latest, "move paths with the session");
        bool moved = false;
        for (const auto& [id, path, furtherParts] : absolute) {
            const session::Capture* capture = session::find(latest, id);
            if (!capture)
                continue;
            session::Capture copy = *capture;
            copy.path = m_model.pathInSession(path).toStdString();
            for (std::size_t i = 0; i < copy.furtherParts.size(); ++i)
                copy.furtherParts[i].path = m_model.pathInSession(furtherParts[static_cast<qsizetype>(i)]).toStdString();
            if (copy == *capture)
                continue;
            builder.put(std::move(copy));
            moved = true;
        }
        if (!moved)
            return;
        submitted(m_session->submit(std::move(builder).finish()));
        m_session->save();
    }

    SessionModel& m_model;
    std::unique_ptr<session::OpenSession> m_session;
    int m_number = 0;
    std::int64_t m_submitted = 0, m_accepted = 0;
    QString m_failure;
    QTimer m_slow;
};

SessionModel::SessionModel(QObject* parent)
    : QObject(parent), m_impl(std::make_unique<Impl>(*this)), m_document(std::make_shared<const session::Document>())
{
}

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
    const QString old = this->path();
    if (!readOnly() && QFileInfo(target) == QFileInfo(old))
        return save();
    std::vector<Impl::Paths> footage;
    for (const auto& [id, capture] : m_impl->m_session->latest().captures)
        footage.push_back({id, footagePath(*capture), furtherParts(*capture)});
    const bool saved = m_impl->guarded([&] {
        m_impl->m_session->saveAs(toPath(target));
        m_impl->rebase(footage);
        drafts::remove(old);
    });
    emit stateChanged();
    return saved;
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
    const bool sent = m_impl->guarded(
        [&] { m_impl->submitted(m_impl->m_session->submit(make(m_impl->m_session->latest()))); });
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
    return m_impl->m_session ? QString::fromStdString(m_impl->m_session->undoLabel().value_or(std::string())) : QString();
}

QString SessionModel::redoLabel() const
{
    return m_impl->m_session ? QString::fromStdString(m_impl->m_session->redoLabel().value_or(std::string())) : QString();
}

QString SessionModel::title() const
{
    return isDraft() || path().isEmpty() ? tr("New session") : QFileInfo(path()).fileName();
}

QString SessionModel::path() const
{
    return m_impl->m_session ? fromPath(m_impl->m_session->path()) : QString();
}

QString SessionModel::folder() const
{
    return QFileInfo(path()).absolutePath();
}

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
    const QString relative = QDir(folder()).relativeFilePath(absolute);
    const bool below = !relative.startsWith(QLatin1String("..")) && !QDir::isAbsolutePath(relative);
    return below ? relative : QDir::cleanPath(absolute);
}

bool SessionModel::isDraft() const
{
    return m_impl->m_session && drafts::contains(path());
}

bool SessionModel::readOnly() const
{
    return m_impl->m_session && m_impl->m_session->readOnly();
}

bool SessionModel::pending() const
{
    return m_impl->pending();
}

QString SessionModel::state() const
{
    if (!m_impl->m_session)
        return tr("no session is open");
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
