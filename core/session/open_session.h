#pragma once
#include "core/session/edit.h"
#include "core/session/history.h"
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace session {

class EvidenceStore;
class SessionStore;
class SessionWriter;
struct Lock;
struct LogLine;

/// The one door: a session file that is open, with its history and lock. Every edit is a transaction of its own.
/// Members are called from one thread; the notices come on the writing thread.
class OpenSession {
public:
    /// None of them may block or call the session.
    struct Notices {
        /// Edit number `sequence` is on the disk, or in memory where failed() says so; `document` holds it.
        std::function<void(std::int64_t sequence, std::shared_ptr<const Document> document)> accepted{};
        /// What was done last is in memory only, as the sentence says, until recovered(): told once for each reason.
        /// `document` is the latest; edits go on and are tried again. The file may have been changed by another
        /// program, moved or deleted: it isn't written then.
        std::function<void(std::string sentence, std::shared_ptr<const Document> document)> failed{};
        /// startSave() has come to its end; the sentence says what went wrong and is empty when nothing did.
        std::function<void(std::string sentence)> saved{};
        std::function<void(std::string sentence)> savedAs{};  ///< the same of startSaveAs()
        std::function<void()> recovered{};                    ///< everything is on the disk again
        std::function<void(std::string sentence)> reported{}; ///< what the analyst should know besides
    };

    /// New session at `path` (its folder exists, the file doesn't). Throws core::Error.
    static std::unique_ptr<OpenSession> create(const std::filesystem::path& path, Notices notices);
    /// A second instance gets it read-only. Throws core::Error (NotFound, Malformed with JSON pointer, Unsupported for
    /// a newer program's file and for a session as text, which has to be imported); the file stays untouched.
    static std::unique_ptr<OpenSession> open(const std::filesystem::path& path, Notices notices);
    ~OpenSession(); ///< waits until everything submitted was tried

    const std::filesystem::path& path() const { return m_path; } ///< absolute, links resolved
    /// The session's crops, wherever it is saved.
    std::shared_ptr<EvidenceStore> evidence() const { return m_evidence; }
    bool readOnly() const { return !m_readOnlyReason.empty(); }
    const std::string& readOnlyReason() const { return m_readOnlyReason; } ///< one sentence, empty when writable
    const std::vector<std::string>& reports() const { return m_reports; }  ///< what opening found

    /// With every edit submitted so far, accepted or not: what the next edit is made against.
    /// Holds until the next call of any member.
    const Document& latest() const { return *m_document; }

    /// Through the door: checked, numbered, handed to the writing thread. Returns its number, which rises from edit to
    /// edit; an edit that changes nothing isn't recorded and gets the number of the latest. Throws core::Error
    /// (Refused, Locked).
    std::int64_t submit(Edit edit);
    std::int64_t sequence() const { return m_sequence; } ///< number of the latest edit, undo or redo
    /// Empty when there is nothing to undo.
    std::optional<std::string> undoLabel() const { return m_history.undoLabel(); }
    std::optional<std::string> redoLabel() const { return m_history.redoLabel(); }
    std::int64_t undo(); ///< precondition: undoLabel() holds something. Throws as submit().
    std::int64_t redo();

    /// Has everything written that isn't on the disk yet and returns at once. Throws core::Error (Locked) when
    /// read-only.
    void startSave();
    /// The same, waiting for it. Throws core::Error (WriteFailed), too.
    void save();
    /// Has session, history and crops written to another file and returns at once; what is there is replaced. Edits
    /// made meanwhile go to the new file. `savedAs` tells the end, then takeSaveAs() is due. Where it fails all stays
    /// as it was. Needs nothing of the old file but crops that were written before.
    void startSaveAs(const std::filesystem::path& path);
    /// After the end of startSaveAs(): path() is the new file's from here on. False when it failed.
    bool takeSaveAs();
    void saveAs(const std::filesystem::path&
                    path);    ///< both, waiting. Throws core::Error (WriteFailed, Refused, Locked, NotFound)
    bool savedToFile() const; ///< everything is on the disk

private:
    OpenSession(std::unique_ptr<SessionStore> store, Lock lock, Notices notices);
    void requireWritable() const;
    std::int64_t undoStep();
    std::int64_t redoStep();
    std::shared_ptr<const Document> applied(const Edit& edit) const;
    std::int64_t write(LogLine line, const std::vector<Change>& changes, std::shared_ptr<const Document> document);

    std::filesystem::path m_path;
    const Notices m_notices;
    std::string m_readOnlyReason;
    std::vector<std::string> m_reports;
    const std::shared_ptr<EvidenceStore> m_evidence;
    std::shared_ptr<const Document> m_document;
    History m_history;
    std::int64_t m_sequence = 0, m_logBytes = 0;
    std::unique_ptr<SessionWriter> m_writer; ///< last: it goes first
};

/// Of a session file, without lock or change: for the command line. Throws as OpenSession::open().
Document readSession(const std::filesystem::path& path);

} // namespace session
