#pragma once
#include "core/session/edit.h"
#include <filesystem>
#include <functional>

namespace session {

/// The one door: a session file that is open, with its journal, history and lock.
/// Members are called from one thread; `accepted` and `failed` are called on the journal's own thread.
class OpenSession {
public:
    struct Notices {
        /// The record of edit number `sequence` has been written; `document` holds it. Must not block.
        std::function<void(std::int64_t sequence, std::shared_ptr<const Document> document)> accepted;
        /// Writing failed; `document` is what is safe, everything after it is taken back.
        std::function<void(std::string sentence, std::shared_ptr<const Document> document)> failed;
    };

    /// New session at `path` (its folder exists, the file doesn't). Throws core::Error.
    static std::unique_ptr<OpenSession> create(const std::filesystem::path& path, Notices notices);
    /// Reads the file and replays its journal. A second instance gets it read-only.
    /// Throws core::Error (NotFound, Malformed with JSON pointer, Unsupported version); the file stays untouched.
    static std::unique_ptr<OpenSession> open(const std::filesystem::path& path, Notices notices);
    ~OpenSession(); ///< waits for the journal; doesn't save

    const std::filesystem::path& path() const;
    std::filesystem::path evidenceFolder() const; ///< NAME.evidence beside the file
    bool readOnly() const;
    std::string readOnlyReason() const;                ///< one sentence, empty when writable
    const std::vector<std::string>& reports() const;  ///< what opening found: torn tail dropped, journal of another file

    /// With every edit submitted so far, accepted or not: what the next edit is made against.
    const Document& latest() const;

    /// Through the door: checked, numbered, handed to the journal. Returns its number. Throws core::Error (Refused, Locked).
    std::int64_t submit(Edit edit);
    std::optional<std::string> undoLabel() const; ///< empty when there is nothing to undo
    std::optional<std::string> redoLabel() const;
    std::int64_t undo(); ///< precondition: undoLabel() holds something
    std::int64_t redo();

    /// Writes the latest document to the file atomically, once the journal holds it. Throws core::Error (WriteFailed).
    void save();
    /// Copies session, history and evidence to a new file and goes on there. Throws core::Error.
    void saveAs(const std::filesystem::path& path);
    bool savedToFile() const; ///< nothing since the last save

private:
    OpenSession();
    class Impl;
    std::unique_ptr<Impl> m_impl;
};

/// Document of a session file with its journal replayed, without lock or change: for the command line.
struct ReadSession {
    Document document;
    std::vector<std::string> reports;
};
ReadSession readSession(const std::filesystem::path& path);

} // namespace session
