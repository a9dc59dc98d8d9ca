#pragma once
#include "core/session/evidence_store.h"
#include "core/session/replay.h"
#include <memory>
#include <string>
#include <vector>

class QLockFile;

/// The files of a session and what opening does with them.
namespace session {

/// Absolute, links resolved where the file is there. Throws core::Error (NotFound) when its folder isn't there.
std::filesystem::path resolved(const std::filesystem::path& path);

/// NAME.lock beside the file, held as long as this lives.
struct Lock {
    Lock();
    Lock(Lock&&) noexcept;
    Lock& operator=(Lock&&) noexcept;
    ~Lock();
    std::unique_ptr<QLockFile> file; ///< null when it couldn't be had
    std::string reason;              ///< one sentence, then
};
Lock lockSession(const std::filesystem::path& sessionPath);

struct Loaded {
    Replayed replayed;
    QByteArray fileHash; ///< SHA-256, 32 bytes
};
/// Changes nothing. Throws core::Error.
Loaded loadSession(const std::filesystem::path& sessionPath);

/// What `loaded` found wrong with the journal, in sentences that end with what has become of it.
std::vector<std::string> reportsOf(const Replayed& loaded, const std::filesystem::path& sessionPath,
                                   const std::string& fate);

/// A journal longer than this is begun anew once all of it is in the file: some hundred thousand edits.
inline constexpr std::int64_t longHistory = std::int64_t{256} << 20;

/// Makes the journal one that can be written on: what doesn't fit is set aside under another name, never deleted.
/// Returns reports; history and goodBytes in `loaded` follow. Throws core::Error (WriteFailed).
std::vector<std::string> prepareJournal(Replayed& loaded, const std::filesystem::path& sessionPath,
                                        std::int64_t longest = longHistory);

/// Session, history and evidence at `from` as they were loaded or written, to `to`, where `json` is what the session is
/// after change `sequence`; what is there is replaced, a journal there kept aside. Throws core::Error (WriteFailed);
/// what was at `to` is there as before then. Returns the journal's length.
std::int64_t copySession(const std::filesystem::path& from, std::int64_t journalBytes, std::int64_t sequence,
                         const QByteArray& json, const std::filesystem::path& to);

} // namespace session
