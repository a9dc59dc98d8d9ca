#pragma once
#include "core/error.h"
#include "core/session/evidence_store.h"
#include "core/session/open_session.h"
#include "core/session/session_lock.h"
#include <condition_variable>
#include <deque>
#include <mutex>
#include <optional>
#include <thread>

namespace session {

/// The thread that writes the session file, in the order in which it is asked to. What can't be written stays in
/// memory, is shown all the same, and is tried again until it is on a disk.
/// All members are called from the one thread that owns the session.
class SessionWriter {
public:
    struct Start {
        Lock lock;
        std::unique_ptr<SessionStore> store;
        std::shared_ptr<EvidenceStore> evidence;
        StoredSession session;
    };
    SessionWriter(Start start, OpenSession::Notices notices);
    ~SessionWriter(); ///< waits until everything asked for was tried

    struct Entry {
        LogLine line;
        std::vector<Change> changes;
        std::shared_ptr<const Document> document; ///< after it
    };
    void write(Entry entry);

    /// What went wrong, or nothing. Called on the writing thread.
    using Done = std::function<void(const std::optional<core::Error>&)>;
    /// Tries everything that isn't on the disk, then calls done.
    void save(Done done);
    /// Session, log and crops to another file; what is asked for later is written there.
    void saveAs(std::filesystem::path wanted, Done done);
    /// Where saveAs() went, once after one that went well.
    std::optional<std::filesystem::path> takeMoved();

    bool allWritten() const; ///< nothing is asked for that isn't on the disk

private:
    struct Task {
        std::optional<Entry> entry; ///< else a save
        Done saved;
        std::optional<std::filesystem::path> elsewhere; ///< saved as that
    };

    void push(Task task);
    void run();
    void perform(Task task);
    void tryWriting();
    void saveNowAs(const std::filesystem::path& wanted);
    std::string copyTo(const std::filesystem::path& target, const CropBytes& uncommitted);
    void trouble(const std::string& sentence);
    void recover();
    void seeWhatIsLeft();

    const OpenSession::Notices m_notices;

    // Of the writing thread alone.
    Lock m_lock; ///< of the file that is written; letting go of it is a matter of the disk as well
    std::unique_ptr<SessionStore> m_store;
    const std::shared_ptr<EvidenceStore> m_evidence;
    std::shared_ptr<const Document> m_document; ///< with everything asked for so far
    std::vector<LogLine> m_log;                 ///< the same
    std::deque<Entry> m_uncommitted;
    std::string m_trouble; ///< as it was told last; empty: all is on the disk

    mutable std::mutex m_mutex;
    std::condition_variable m_wake;
    std::deque<Task> m_tasks; ///< with the mutex, like what follows
    std::optional<std::filesystem::path> m_moved;
    bool m_busy = false; ///< a task is under way, or something couldn't be written
    bool m_stopping = false;
    std::thread m_thread;
};

} // namespace session
