#pragma once
#include "app/arguments.h"
#include "core/session/document.h"
#include <filesystem>
#include <set>

namespace app {

/// With this option of a command everything is read.
inline constexpr const char* readOutside = "read-outside";

/// Captures whose footage a command leaves alone: it lies outside the session's folder, where nobody has let the
/// workstation read any, and the option isn't given: which is said. A session of somebody else may name any file.
std::set<session::CaptureId> notToBeRead(const session::Document& document, const std::filesystem::path& sessionFile,
                                         const Arguments& given);

} // namespace app
