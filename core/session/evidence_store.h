#pragma once
#include "core/session/session_store.h"
#include <cstdint>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

namespace session {

/// Folder of the crops of a session of version 1: NAME.evidence beside NAME.tallyframe.
std::filesystem::path evidencePath(const std::filesystem::path& sessionPath);

/// A session's crops by content: never changed, never deleted while a history may refer to them. What is kept goes into
/// the file with the next edit, in one transaction with the marks that refer to it. Members may be called from any
/// thread; load() reads the disk.
class EvidenceStore {
public:
    EvidenceStore() = default; ///< of a session without a file: in memory
    /// Of the session at `path`, which was read just now. Throws as SessionStore.
    explicit EvidenceStore(const std::filesystem::path& path);

    std::string keep(const std::vector<std::uint8_t>& png); ///< SHA-256 of the bytes, hex
    /// Empty when it isn't there. Throws core::Error (AtOdds) when the bytes don't match their name.
    std::optional<std::vector<std::uint8_t>> load(const std::string& sha256);

    // For the session's own writing thread.
    CropBytes uncommitted() const;
    void wrote(const CropBytes& crops);
    void moveTo(const std::filesystem::path& path); ///< throws as SessionStore

private:
    mutable std::mutex m_mutex;
    CropBytes m_uncommitted;
    std::unique_ptr<SessionStore> m_file; ///< a connection of its own, so that looking waits for no edit
};

} // namespace session
