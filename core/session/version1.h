#pragma once
#include "core/session/session_store.h"

/// What version 1 left: a session as text, NAME.tallyframe.journal with what was done since it was saved and before,
/// and a folder of crops. Read to be imported, never changed.
namespace session {

struct Version1 {
    StoredSession session;
    CropBytes crops;
    std::vector<std::string> reports; ///< what couldn't be taken over
};

/// A session as text, whoever wrote it: with journal and folder of crops where they lie beside it. Throws core::Error
/// as fromJson() and readFile().
Version1 readText(const std::filesystem::path& path);

} // namespace session
