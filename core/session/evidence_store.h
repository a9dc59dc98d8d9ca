#pragma once
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace session {

/// Folder of a session's crops: NAME.evidence beside NAME.tallyframe.
std::filesystem::path evidencePath(const std::filesystem::path& sessionPath);

/// Crops by content: written once, never changed, never deleted while a history may refer to them.
/// Members may be called from any thread.
class EvidenceStore {
public:
    explicit EvidenceStore(std::filesystem::path folder); ///< made when the first crop comes

    /// SHA-256 of the bytes, hex; on disk when this returns. Throws core::Error (WriteFailed).
    std::string keep(const std::vector<std::uint8_t>& png) const;
    /// Empty when it isn't there. Throws core::Error (AtOdds) when the bytes don't match their name.
    std::optional<std::vector<std::uint8_t>> load(const std::string& sha256) const;

private:
    std::filesystem::path m_folder;
};

} // namespace session
