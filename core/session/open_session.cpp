#include "core/session/open_session.h"
#include "core/error.h"
#include "core/session/history.h"
#include "core/session/session_writer.h"
#include <cassert>
#include <future>

namespace session {

namespace {

/// Beyond this no further edits are taken: it is read at every opening.
constexpr std::int64_t fullLog = std::int64_t{512} << 20;

History historyOf(const std::vector<LogLine>& log)
{
    History history;
    for (const LogLine& line : log)
        switch (line.kind) {
        case LogKind::Edit: history.did(std::make_shared<const Step>(line.body)); break;
        case LogKind::Undo:
            if (history.toUndo())
                history.undid();
            break;
        case LogKind::Redo:
            if (history.toRedo())
                history.redid();
            break;
        case LogKind::PassedOver: break;
        }
    return history;
}

} // namespace

OpenSession::OpenSession(std::unique_ptr<SessionStore> store, Lock lock, Notices notices)
    : m_path(store->path()), m_notices(std::move(notices)), m_readOnlyReason(lock.reason),
      m_evidence(std::make_shared<EvidenceStore>(m_path))
{
    if (!readOnly() && store->isWriteProtected()) {
        lock = Lock();
        m_readOnlyReason =
            "The file " + m_path.string() + " is write-protected; save the session elsewhere to change it.";
    }
    if (!readOnly())
        if (std::string left = SessionStore::takeAwayUnfinished(m_path); !left.empty())
            m_reports.push_back(std::move(left));
    StoredSession stored = store->read();
    m_document = std::make_shared<const Document>(stored.document);
    m_history = historyOf(stored.log);
    m_sequence = stored.sequence();
    for (const LogLine& line : stored.log)
        m_logBytes += line.body.size();
    m_writer = std::make_unique<SessionWriter>(
        SessionWriter::Start{std::move(lock), std::move(store), m_evidence, std::move(stored)}, m_notices);
}

OpenSession::~OpenSession() = default;

std::unique_ptr<OpenSession> OpenSession::create(const std::filesystem::path& path, Notices notices)
{
    const std::filesystem::path whole = resolved(path);
    Lock lock = lockSession(whole);
    if (!lock.file)
        throw core::Error(core::ErrorKind::WriteFailed, lock.reason);
    if (std::filesystem::exists(std::filesystem::symlink_status(whole)))
        throw core::Error(core::ErrorKind::Refused,
                          "There already is a file " + whole.string() + "; open it or choose another name.");
    SessionStore::write(whole, {});
    return std::unique_ptr<OpenSession>(
        new OpenSession(std::make_unique<SessionStore>(whole), std::move(lock), std::move(notices)));
}

std::unique_ptr<OpenSession> OpenSession::open(const std::filesystem::path& path, Notices notices)
{
    const std::filesystem::path whole = resolved(path);
    Lock lock = std::filesystem::is_regular_file(whole) ? lockSession(whole) : Lock();
    return std::unique_ptr<OpenSession>(
        new OpenSession(std::make_unique<SessionStore>(whole), std::move(lock), std::move(notices)));
}

void OpenSession::requireWritable() const
{
    if (readOnly())
        throw core::Error(core::ErrorKind::Locked, m_readOnlyReason);
}

std::int64_t OpenSession::submit(Edit edit)
{
    requireWritable();
    if (edit.changes.empty())
        return m_sequence;
    auto document = applied(edit);
    const bool passedOver = isPassedOver(edit.kind);
    const QByteArray body = bodyOf(edit);
    const auto shared = std::make_shared<const Edit>(std::move(edit));
    if (!passedOver)
        m_history.did(std::make_shared<const Step>(shared));
    return write({0, passedOver ? LogKind::PassedOver : LogKind::Edit, body}, shared->changes, std::move(document));
}

std::int64_t OpenSession::undo()
{
    assert(m_history.undoLabel());
    while (goesAlong(m_history.toUndo()->edit().kind))
        undoStep();
    return undoStep();
}

std::int64_t OpenSession::redo()
{
    assert(m_history.redoLabel());
    std::int64_t number = redoStep();
    while (m_history.toRedo() && goesAlong(m_history.toRedo()->edit().kind))
        number = redoStep();
    return number;
}

std::int64_t OpenSession::undoStep()
{
    requireWritable();
    const Edit back = reversed(m_history.toUndo()->edit());
    auto document = applied(back);
    m_history.undid();
    return write({0, LogKind::Undo, ""}, back.changes, std::move(document));
}

std::int64_t OpenSession::redoStep()
{
    requireWritable();
    const Edit again = m_history.toRedo()->edit();
    auto document = applied(again);
    m_history.redid();
    return write({0, LogKind::Redo, ""}, again.changes, std::move(document));
}

bool OpenSession::takeSaveAs()
{
    auto moved = m_writer->takeMoved();
    if (!moved)
        return false;
    m_path = std::move(*moved);
    m_readOnlyReason.clear();
    return true;
}

std::shared_ptr<const Document> OpenSession::applied(const Edit& edit) const
{
    if (m_logBytes > fullLog)
        throw core::Error(core::ErrorKind::Refused,
                          "The session's history is full, so this change can't be made; export the session and "
                          "import it again, which begins a new one.");
    auto document = std::make_shared<Document>(*m_document);
    applyInPlace(*document, edit);
    return document;
}

std::int64_t OpenSession::write(LogLine line, const std::vector<Change>& changes,
                                std::shared_ptr<const Document> document)
{
    line.sequence = ++m_sequence;
    m_logBytes += line.body.size();
    m_document = document;
    m_writer->write({std::move(line), changes, std::move(document)});
    return m_sequence;
}

bool OpenSession::savedToFile() const { return m_writer->allWritten(); }

namespace {

SessionWriter::Done tell(const std::function<void(std::string)>& notice)
{
    return [saved = notice](const std::optional<core::Error>& error) {
        if (saved)
            saved(error ? error->what() : std::string());
    };
}

/// Calls `begin` with what is to be called at the end, and waits for that. Throws what went wrong.
template <class Begin> void waitFor(Begin begin)
{
    std::promise<std::optional<core::Error>> promise;
    begin([&](const std::optional<core::Error>& error) { promise.set_value(error); });
    if (const std::optional<core::Error> error = promise.get_future().get())
        throw *error;
}

} // namespace

void OpenSession::startSave()
{
    requireWritable();
    m_writer->save(tell(m_notices.saved));
}

void OpenSession::save()
{
    requireWritable();
    waitFor([this](const SessionWriter::Done& done) { m_writer->save(done); });
}

void OpenSession::startSaveAs(const std::filesystem::path& path) { m_writer->saveAs(path, tell(m_notices.savedAs)); }

void OpenSession::saveAs(const std::filesystem::path& path)
{
    try {
        waitFor([&](const SessionWriter::Done& done) { m_writer->saveAs(path, done); });
    } catch (...) {
        takeSaveAs();
        throw;
    }
    takeSaveAs();
}

Document readSession(const std::filesystem::path& path) { return SessionStore(resolved(path)).read().document; }

} // namespace session
