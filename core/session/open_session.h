#pragma once
#include "core/session/edit.h"
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace session {

class EvidenceStore;

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

    const std::filesystem::path& path() const;       ///< absolute, links resolved
    std::shared_ptr<EvidenceStore> evidence() const; ///< the session's crops, wherever it is saved
    bool readOnly() const;
    std::string readOnlyReason() const;              ///< one sentence, empty when writable
    const std::vector<std::string>& reports() const; ///< what opening found

    /// With every edit submitted so far, accepted or not: what the next edit is made against.
    /// Holds until the next call of any member.
    const Document& latest() const;

    /// Through the door: checked, numbered, handed to the writing thread. Returns its number, which rises from edit to
    /// edit; an edit that changes nothing isn't recorded and gets the number of the latest. Throws core::Error
    /// (Refused, Locked).
    std::int64_t submit(Edit edit);
    std::int64_t sequence() const;                ///< number of the latest edit, undo or redo
    std::optional<std::string> undoLabel() const; ///< empty when there is nothing to undo
    std::optional<std::string> redoLabel() const;
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
    class Impl;
    explicit OpenSession(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

/// Of a session file, without lock or change: for the command line. Throws as OpenSession::open().
Document readSession(const std::filesystem::path& path);

} // namespace session
