#pragma once
#include "core/error.h"
#include "core/session/journal_file.h"
#include "core/session/open_session.h"
#include "core/session/session_files.h"
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <thread>

namespace session {

/// The thread that writes the journal and the session file, in the order in which it is asked to.
/// All members are called from the one thread that owns the session.
class JournalWriter {
public:
    struct Start {
        std::filesystem::path sessionPath;
        std::int64_t goodBytes = 0; ///< of the journal
        QByteArray fileHash;        ///< of the session file as it is, 32 bytes
        std::int64_t sequence = 0;  ///< of `document`
        std::int64_t savedSequence = 0;
        std::shared_ptr<const Document> document;
    };
    JournalWriter(Start start, OpenSession::Notices notices);
    ~JournalWriter(); ///< waits until everything asked for is done and on the disk

    struct Entry {
        RecordKind kind = RecordKind::Edit;
        std::int64_t sequence = 0;
        std::shared_ptr<const Edit> edit;         ///< with RecordKind::Edit and Look only
        std::shared_ptr<const Document> document; ///< after it
    };
    /// False when an earlier entry has failed and takeFailure() hasn't been called since: it isn't taken then.
    bool write(Entry entry);

    /// What went wrong, or nothing. Called on the writing thread.
    using Done = std::function<void(const std::optional<core::Error>&)>;
    /// Writes the document to the session file after all entries before, then calls done.
    /// False as with write(); done isn't called then.
    bool save(std::int64_t sequence, std::shared_ptr<const Document> document, Done done);

    /// The same to another session file, with history and evidence; what is asked for later is written there.
    bool saveAs(std::filesystem::path wanted, std::int64_t sequence, std::shared_ptr<const Document> document,
                Done done);
    struct Moved {
        std::filesystem::path path; ///< of the session file
        Lock lock;
    };
    std::optional<Moved> takeMoved(); ///< once after a saveAs() that went well

    /// True once after an entry has failed; everything after accepted() is off then.
    bool takeFailure();
    std::int64_t accepted() const { return m_accepted; }           ///< sequence of the last entry written
    std::int64_t savedSequence() const { return m_savedSequence; } ///< of what is in the session file
    std::int64_t journalBytes() const { return m_journalBytes; }

private:
    struct Task {
        std::optional<Entry> entry; ///< else a save
        std::int64_t sequence = 0;
        std::shared_ptr<const Document> document;
        Done saved;
        std::optional<std::filesystem::path> elsewhere; ///< saved as that
    };

    bool push(Task task);
    void run();
    void perform(Task task);
    void append(const Entry& entry);
    void fail(const std::string& sentence);
    void saveNow(std::int64_t sequence, const Document& document);
    void saveNowAs(const std::filesystem::path& wanted, std::int64_t sequence, const Document& document);
    void syncNow();

    const OpenSession::Notices m_notices;

    // Of the writing thread alone.
    std::filesystem::path m_sessionPath;
    JournalFile m_journal;
    QByteArray m_fileHash;
    std::shared_ptr<const Document> m_safe;
    std::optional<std::chrono::steady_clock::time_point> m_syncBy; ///< set while something written isn't on the disk

    std::atomic<std::int64_t> m_accepted, m_savedSequence, m_journalBytes;
    std::mutex m_mutex;
    std::condition_variable m_wake;
    std::deque<Task> m_tasks; ///< with the mutex, like what follows
    std::optional<Moved> m_moved;
    bool m_failed = false;
    bool m_stopping = false;
    std::thread m_thread;
};

} // namespace session
