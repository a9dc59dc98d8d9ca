#pragma once
#include "core/session/edit.h"
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace session {

/// The one door: a session file that is open, with its journal, history and lock.
/// Members are called from one thread; the notices come on the journal's own thread.
class OpenSession {
public:
    /// None of them may block or call the session.
    struct Notices {
        /// The record of edit number `sequence` has been written; `document` holds it.
        std::function<void(std::int64_t sequence, std::shared_ptr<const Document> document)> accepted{};
        /// Writing failed; `document` is what is safe, everything after it is taken back and latest() is it from now
        /// on. Further edits are possible.
        std::function<void(std::string sentence, std::shared_ptr<const Document> document)> failed{};
        /// startSave() has come to its end; the sentence says what went wrong and is empty when nothing did.
        std::function<void(std::string sentence)> saved{};
        std::function<void(std::string sentence)> savedAs{}; ///< the same of startSaveAs()
    };

    /// New session at `path` (its folder exists, the file doesn't). Throws core::Error.
    static std::unique_ptr<OpenSession> create(const std::filesystem::path& path, Notices notices);
    /// Reads the file and replays its journal. A second instance gets it read-only.
    /// Throws core::Error (NotFound, Malformed with JSON pointer, Unsupported version); the file stays untouched.
    static std::unique_ptr<OpenSession> open(const std::filesystem::path& path, Notices notices);
    ~OpenSession(); ///< waits for the journal and a save under way; doesn't save

    const std::filesystem::path& path() const;    ///< absolute, links resolved
    std::filesystem::path evidenceFolder() const; ///< NAME.evidence beside the file
    bool readOnly() const;
    std::string readOnlyReason() const;              ///< one sentence, empty when writable
    const std::vector<std::string>& reports() const; ///< what opening found: torn tail dropped, journal of another file

    /// With every edit submitted so far, accepted or not: what the next edit is made against.
    /// Holds until the next call of any member.
    const Document& latest() const;

    /// Through the door: checked, numbered, handed to the journal. Returns its number, which rises from edit to edit;
    /// an edit that changes nothing isn't recorded and gets the number of the latest. Throws core::Error (Refused,
    /// Locked, WriteFailed when a change before it couldn't be written).
    std::int64_t submit(Edit edit);
    std::int64_t sequence() const;                ///< number of the latest edit, undo or redo
    std::optional<std::string> undoLabel() const; ///< empty when there is nothing to undo
    std::optional<std::string> redoLabel() const;
    std::int64_t undo(); ///< precondition: undoLabel() holds something. Throws as submit().
    std::int64_t redo();

    /// Has the latest document written to the file by the journal's thread, after every edit before, and returns at
    /// once. The file is replaced atomically. Throws core::Error (Locked) when read-only.
    void startSave();
    /// The same, waiting for it. Throws core::Error (WriteFailed), too.
    void save();
    /// Has session, history and evidence copied to another file by the journal's thread and returns at once; what is
    /// there is replaced, its journal kept aside. Edits made meanwhile are written to the new file. `savedAs` tells the
    /// end, then takeSaveAs() is due. Where it fails all stays as it was. May take seconds where evidence goes to
    /// another disk.
    void startSaveAs(const std::filesystem::path& path);
    /// After the end of startSaveAs(): path(), evidenceFolder() and the lock are the new file's from here on. False
    /// when it failed.
    bool takeSaveAs();
    void saveAs(const std::filesystem::path&
                    path);    ///< both, waiting. Throws core::Error (WriteFailed, Refused, Locked, NotFound)
    bool savedToFile() const; ///< nothing since the last save

private:
    class Impl;
    explicit OpenSession(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

/// Document of a session file with its journal replayed, without lock or change: for the command line.
struct ReadSession {
    Document document;
    std::vector<std::string> reports;
};
/// Throws as OpenSession::open().
ReadSession readSession(const std::filesystem::path& path);

} // namespace session
