#include "core/session/open_session.h"
#include "core/error.h"
#include "core/session/file_format.h"
#include "core/session/journal_writer.h"
#include "core/session/session_files.h"
#include <QCryptographicHash>
#include <QLockFile>
#include <cassert>
#include <deque>
#include <future>
#include <fcntl.h>
#include <unistd.h>

namespace session {

namespace {

/// Beyond this no further edits are taken before the session is saved and opened again, which begins a new journal.
constexpr std::int64_t fullJournal = std::int64_t{512} << 20;

} // namespace

class OpenSession::Impl {
public:
    Impl(std::filesystem::path path, Lock lock, Notices notices)
        : m_path(std::move(path)), m_lock(std::move(lock)), m_notices(std::move(notices))
    {
        m_readOnlyReason = m_lock.reason;
    }

    void take(Loaded loaded)
    {
        Replayed& replayed = loaded.replayed;
        if (writable()) {
            try {
                m_reports = prepareJournal(replayed, m_path);
            } catch (const core::Error& error) {
                m_readOnlyReason = std::string("The session can't be changed. ") + error.what();
            }
        }
        if (!writable())
            m_reports = reportsOf(replayed, m_path, "nothing was changed on the disk");
        m_states = {std::move(replayed.state)};
        m_goodBytes = replayed.goodBytes;
        m_lastNumber = replayed.lastSequence;
        m_savedSequence = replayed.savedSequence;
        m_fileHash = loaded.fileHash;
        if (writable())
            startWriter();
    }

    bool writable() const { return m_readOnlyReason.empty(); }

    void requireWritable() const
    {
        if (!writable())
            throw core::Error(core::ErrorKind::Locked, m_readOnlyReason);
    }

    const State& latest()
    {
        if (m_writer && m_writer->takeFailure())
            fallBack();
        return m_states.back();
    }

    std::int64_t submit(Edit edit)
    {
        requireWritable();
        const State& before = latest();
        if (edit.changes.empty())
            return before.sequence;
        requireRoom();
        auto document = std::make_shared<Document>(*before.document);
        applyInPlace(*document, edit);
        auto shared = std::make_shared<const Edit>(std::move(edit));
        History history = before.history;
        if (isPassedOver(shared->kind))
            return write(RecordKind::Look, shared, std::move(document), std::move(history));
        history.did(std::make_shared<const Step>(shared));
        return write(RecordKind::Edit, shared, std::move(document), std::move(history));
    }

    std::int64_t undo()
    {
        assert(latest().history.undoLabel());
        while (goesAlong(latest().history.toUndo()->edit().kind))
            undoStep();
        return undoStep();
    }

    std::int64_t redo()
    {
        assert(latest().history.redoLabel());
        std::int64_t number = redoStep();
        while (latest().history.toRedo() && goesAlong(latest().history.toRedo()->edit().kind))
            number = redoStep();
        return number;
    }

    std::int64_t undoStep()
    {
        requireWritable();
        const State& before = latest();
        requireRoom();
        auto document = std::make_shared<Document>(*before.document);
        applyInPlace(*document, reversed(before.history.toUndo()->edit()));
        History history = before.history;
        history.undid();
        return write(RecordKind::Undo, nullptr, std::move(document), std::move(history));
    }

    std::int64_t redoStep()
    {
        requireWritable();
        const State& before = latest();
        requireRoom();
        auto document = std::make_shared<Document>(*before.document);
        applyInPlace(*document, before.history.toRedo()->edit());
        History history = before.history;
        history.redid();
        return write(RecordKind::Redo, nullptr, std::move(document), std::move(history));
    }

    void save(const JournalWriter::Done& done)
    {
        requireWritable();
        for (;;) {
            const State& state = latest();
            if (m_writer->save(state.sequence, state.document, done))
                return;
        }
    }

    void saveAs(const std::filesystem::path& wanted, const JournalWriter::Done& done)
    {
        if (!m_writer)
            startWriter(); // read-only: it is asked for nothing else
        for (;;) {
            const State& state = latest();
            if (m_writer->saveAs(wanted, state.sequence, state.document, done))
                return;
        }
    }

    bool takeSaveAs()
    {
        auto moved = m_writer ? m_writer->takeMoved() : std::nullopt;
        if (!moved) {
            if (!writable())
                m_writer.reset();
            return false;
        }
        m_path = std::move(moved->path);
        m_lock = std::move(moved->lock);
        m_readOnlyReason.clear();
        return true;
    }

    bool savedToFile() { return latest().sequence == (m_writer ? m_writer->savedSequence() : m_savedSequence); }

    std::filesystem::path m_path;
    Lock m_lock;
    Notices m_notices;
    std::string m_readOnlyReason;
    std::vector<std::string> m_reports;

private:
    void startWriter()
    {
        const State& state = m_states.back();
        m_writer = std::make_unique<JournalWriter>(
            JournalWriter::Start{m_path, m_goodBytes, m_fileHash, state.sequence, m_savedSequence, state.document},
            m_notices);
    }

    void requireRoom() const
    {
        if (m_writer->journalBytes() > fullJournal)
            throw core::Error(
                core::ErrorKind::Refused,
                "The journal is full, so this change can't be made; save the session, close it and open it again.");
    }

    std::int64_t write(RecordKind kind, std::shared_ptr<const Edit> edit, std::shared_ptr<const Document> document,
                       History history)
    {
        const std::int64_t number = m_lastNumber + 1;
        if (!m_writer->write({kind, number, std::move(edit), document}))
            throw core::Error(core::ErrorKind::WriteFailed,
                              "This change wasn't made, as the one before it couldn't be written; repeat it.");
        m_lastNumber = number;
        while (m_states.size() > 1 && m_states[1].sequence <= m_writer->accepted())
            m_states.pop_front();
        m_states.push_back({std::move(document), std::move(history), number});
        return number;
    }

    void fallBack()
    {
        while (m_states.back().sequence > m_writer->accepted())
            m_states.pop_back();
    }

    std::deque<State> m_states; ///< from the last one known to be accepted to the latest
    std::int64_t m_lastNumber = 0;
    std::int64_t m_goodBytes = 0; ///< these three hold while there is no writer
    QByteArray m_fileHash;
    std::int64_t m_savedSequence = 0;
    std::unique_ptr<JournalWriter> m_writer; ///< last: it goes first
};

OpenSession::OpenSession(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
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
    Replacement(whole, toJson(Document{})).commit();
    auto impl = std::make_unique<Impl>(whole, std::move(lock), std::move(notices));
    impl->take(loadSession(whole));
    return std::unique_ptr<OpenSession>(new OpenSession(std::move(impl)));
}

std::unique_ptr<OpenSession> OpenSession::open(const std::filesystem::path& path, Notices notices)
{
    const std::filesystem::path whole = resolved(path);
    if (!std::filesystem::exists(whole))
        throw core::Error(core::ErrorKind::NotFound, "There is no session " + whole.string() + ".");
    Lock lock = lockSession(whole);
    if (lock.file && ::faccessat(AT_FDCWD, whole.c_str(), W_OK, AT_EACCESS) != 0) {
        lock.file.reset();
        lock.reason = "The file " + whole.string() + " is write-protected; save the session elsewhere to change it.";
    }
    auto impl = std::make_unique<Impl>(whole, std::move(lock), std::move(notices));
    impl->take(loadSession(whole));
    return std::unique_ptr<OpenSession>(new OpenSession(std::move(impl)));
}

const std::filesystem::path& OpenSession::path() const { return m_impl->m_path; }
std::filesystem::path OpenSession::evidenceFolder() const { return evidencePath(m_impl->m_path); }
bool OpenSession::readOnly() const { return !m_impl->writable(); }
std::string OpenSession::readOnlyReason() const { return m_impl->m_readOnlyReason; }
const std::vector<std::string>& OpenSession::reports() const { return m_impl->m_reports; }
const Document& OpenSession::latest() const { return *m_impl->latest().document; }
std::int64_t OpenSession::sequence() const { return m_impl->latest().sequence; }
std::int64_t OpenSession::submit(Edit edit) { return m_impl->submit(std::move(edit)); }
std::optional<std::string> OpenSession::undoLabel() const { return m_impl->latest().history.undoLabel(); }
std::optional<std::string> OpenSession::redoLabel() const { return m_impl->latest().history.redoLabel(); }
std::int64_t OpenSession::undo() { return m_impl->undo(); }
std::int64_t OpenSession::redo() { return m_impl->redo(); }
bool OpenSession::takeSaveAs() { return m_impl->takeSaveAs(); }
bool OpenSession::savedToFile() const { return m_impl->savedToFile(); }

namespace {

JournalWriter::Done tell(const std::function<void(std::string)>& notice)
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

void OpenSession::startSave() { m_impl->save(tell(m_impl->m_notices.saved)); }

void OpenSession::save()
{
    waitFor([this](const JournalWriter::Done& done) { m_impl->save(done); });
}

void OpenSession::startSaveAs(const std::filesystem::path& path)
{
    m_impl->saveAs(path, tell(m_impl->m_notices.savedAs));
}

void OpenSession::saveAs(const std::filesystem::path& path)
{
    try {
        waitFor([&](const JournalWriter::Done& done) { m_impl->saveAs(path, done); });
    } catch (...) {
        m_impl->takeSaveAs();
        throw;
    }
    m_impl->takeSaveAs();
}

ReadSession readSession(const std::filesystem::path& path)
{
    const std::filesystem::path whole = resolved(path);
    const Replayed replayed = loadSession(whole).replayed;
    return {*replayed.state.document, reportsOf(replayed, whole, "nothing was changed on the disk")};
}

} // namespace session
