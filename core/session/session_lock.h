#pragma once
#include <QLockFile>
#include <filesystem>
#include <memory>
#include <string>

namespace session {

/// Absolute, links resolved where the file is there. Throws core::Error (NotFound) when its folder isn't there.
std::filesystem::path resolved(const std::filesystem::path& path);

/// NAME.lock beside the file, held as long as this lives: SQLite's own locks last for a transaction, while a session
/// belongs to one window as long as that is open.
struct Lock {
    std::unique_ptr<QLockFile> file; ///< null when it couldn't be had
    std::string reason;              ///< one sentence, then
};
Lock lockSession(const std::filesystem::path& sessionPath);

} // namespace session
