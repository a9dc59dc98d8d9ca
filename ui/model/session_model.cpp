#include "ui/model/session_model.h"
#include "core/session/evidence_store.h"
#include "ui/model/drafts.h"
#include "ui/model/file_paths.h"
#include "ui/model/session_model_impl.h"

#include <QDir>
#include <QFileInfo>
#include <algorithm>

namespace ui {

namespace {

const QString suffix = QStringLiteral(".tallyframe");

QString relativeTo(const QString& folder, const QString& absolute)
{
    const QString relative = QDir(folder).relativeFilePath(absolute);
    const bool below = !relative.startsWith(QLatin1String("..")) && !QDir::isAbsolutePath(relative);
    return below ? relative : QDir::cleanPath(absolute);
}

} // namespace

SessionModel::Impl::Impl(SessionModel& model, SessionFiles files) : m_model(model), m_files(std::move(files))
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

/// What the session's own thread reports is taken up on the window's thread. A late report of a session that has been
/// closed since is known by its number.
session::OpenSession::Notices SessionModel::Impl::notices(int number)
{
    const auto later = [this, mailbox = m_mailbox, number](std::function<void()> act) {
        mailbox.post([this, number, act = std::move(act)] {
            if (number == m_number)
                act();
        });
    };
    // What was done last is in memory only; the sentence stays in view until it is on a disk.
    const auto setFailure = [this](const QString& sentence) {
        m_failure = sentence;
        if (!sentence.isEmpty())
            emit m_model.problem(sentence);
        emit m_model.stateChanged();
    };
    return {
        [=, this](std::int64_t sequence, const std::shared_ptr<const session::Document>& document) {
            later([=, this] { accepted(sequence, document); });
        },
        [=](const std::string& sentence, const std::shared_ptr<const session::Document>&) {
            later([=] { setFailure(QString::fromStdString(sentence)); });
        },
        [=, this](const std::string& sentence) {
            later([=, this] {
                if (!sentence.empty())
                    emit m_model.problem(QString::fromStdString(sentence));
                emit m_model.stateChanged();
            });
        },
        [=, this](const std::string& sentence) {
            later([=, this] { finishSaveAs(QString::fromStdString(sentence)); });
        },
        [=] { later([=] { setFailure({}); }); },
        [=, this](const std::string& sentence) {
            later([=, this] { emit m_model.problem(QString::fromStdString(sentence)); });
        },
    };
}

void SessionModel::Impl::accepted(std::int64_t sequence, const std::shared_ptr<const session::Document>& document)
{
    m_accepted = std::max(m_accepted, sequence);
    if (m_folder.from && m_accepted >= *m_folder.from)
        m_folder = {m_folder.next, {}, {}};
    if (!pending())
        m_slow.stop();
    m_model.m_document = document;
    m_footage.learn(*document, m_folder.now);
    emit m_model.changed();
    emit m_model.stateChanged();
}

void SessionModel::Impl::tell(const QStringList& problems)
{
    for (const QString& sentence : problems)
        emit m_model.problem(sentence);
}

bool SessionModel::Impl::guarded(const std::function<void()>& action)
{
    try {
        action();
        return true;
    } catch (const std::exception& error) {
        emit m_model.problem(sentenceOf(error));
        return false;
    }
}

void SessionModel::Impl::submitted(std::int64_t sequence)
{
    m_submitted = std::max(m_submitted, sequence);
    if (!m_slow.isActive())
        m_slow.start();
}

/// Drafts are the program's own.
void SessionModel::Impl::guardFootage()
{
    m_footage.begin(m_model.isDraft() ? QString() : m_model.path(), *m_model.m_document, m_folder.now);
    if (!m_footage.toAskFor().isEmpty())
        m_mailbox.post([this] {
            if (!m_footage.toAskFor().isEmpty())
                emit m_model.footageAsked();
        });
}

void SessionModel::Impl::finishSaveAs(const QString& sentence)
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

/// A session saved under another folder keeps its footage: paths are taken relative to the new one. Until that edit is
/// accepted folder() is the one that the document's paths are relative to.
void SessionModel::Impl::rebase(const QString& folder)
{
    if (folder == m_folder.now)
        return;
    const session::Document& latest = m_session->latest();
    session::EditBuilder builder(latest, "move paths with the session");
    bool moved = false;
    const auto put = [&](auto copy, const auto& before) {
        if (copy == before)
            return;
        builder.put(std::move(copy));
        moved = true;
    };
    for (const auto& [id, capture] : latest.captures) {
        session::Capture copy = *capture;
        copy.path = relativeTo(folder, m_model.footagePath(*capture)).toStdString();
        const QStringList further = m_model.furtherParts(*capture);
        for (std::size_t i = 0; i < copy.furtherParts.size(); ++i)
            copy.furtherParts[i].path = relativeTo(folder, further[static_cast<qsizetype>(i)]).toStdString();
        put(std::move(copy), *capture);
    }
    for (const auto& [id, earlier] : latest.earlierSessions) {
        session::EarlierSession copy = *earlier;
        copy.path = relativeTo(folder, QDir(m_folder.now).absoluteFilePath(QString::fromStdString(earlier->path)))
                        .toStdString();
        put(std::move(copy), *earlier);
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

SessionModel::SessionModel(SessionFiles files, QObject* parent)
    : QObject(parent), m_impl(std::make_unique<Impl>(*this, std::move(files))),
      m_document(std::make_shared<const session::Document>())
{}

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
    return m_impl->guarded([&] { m_impl->submitted(m_impl->m_session->submit(make(m_impl->m_session->latest()))); });
}

bool SessionModel::changeSettings(const QString& label, const std::function<void(session::Settings&)>& change)
{
    return edit([&](const session::Document& document) {
        session::Settings settings = document.settings;
        change(settings);
        return session::setSettings(document, settings, label.toStdString());
    });
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
    return m_impl->m_folder.from ? QDir::cleanPath(absolute) : relativeTo(folder(), absolute);
}

void SessionModel::setFootageMemory(FootageMemory memory)
{
    m_impl->m_footage.setMemory(std::move(memory));
    m_impl->guardFootage();
}

bool SessionModel::mayRead(const session::Capture& capture) const
{
    return m_impl->m_footage.mayRead(foldersOf(capture, folder()));
}

std::set<session::CaptureId> SessionModel::notToBeRead() const
{
    return m_impl->m_footage.notToBeRead(*m_document, folder());
}

QStringList SessionModel::footageToAskFor() const { return m_impl->m_footage.toAskFor(); }

void SessionModel::answerFootage(bool mayBeRead)
{
    if (footageToAskFor().isEmpty())
        return;
    m_impl->m_footage.answer(mayBeRead, path());
    emit changed();
}

void SessionModel::askForFootageAgain()
{
    m_impl->m_footage.askAgain();
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
