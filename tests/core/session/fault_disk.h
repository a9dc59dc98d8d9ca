#pragma once
#include <filesystem>

/// What goes wrong with the n-th call that a program makes on the files of a folder. The C library's calls are stood in
/// for, so this belongs in a program of its own: SQLite, Qt, libav and the product go through it alike.
namespace fault {

enum class Kind {
    None,
    Io,        ///< the call fails with EIO
    Full,      ///< the next that needs room finds none, once
    StaysFull, ///< none from then on
    Short,     ///< half of the next write is there, then EIO
    Sync,      ///< the next sync fails
    Kill,      ///< the process dies
    /// The process dies, and of every file that is left which was synced last, of every folder which names it had when
    /// it was synced last.
    PowerCut,
    /// The same of files, but all names are there: some file systems write names before contents.
    PowerCutWithNames,
};

/// From here on calls on what is below `folder` are counted, and number `at` (from 1) goes wrong. Syncing is only
/// noted: the machine itself goes on.
void begin(Kind kind, long at, const std::filesystem::path& folder);
long calls();    ///< so far
bool happened(); ///< it went wrong

} // namespace fault
