#pragma once
#include <string>

/// What goes wrong with the n-th call that a program makes on its database files.
namespace fault {

enum class Kind {
    None,
    Io,        ///< the call fails with EIO
    Full,      ///< the disk is full
    Short,     ///< half of a write is there, then EIO
    Sync,      ///< the next sync from there on fails
    StaysFull, ///< full from then on
    Kill,      ///< the process dies
    PowerCut,  ///< the process dies and everything that wasn't synced is gone
};

/// From here on SQLite's files go through a layer that counts calls and lets number `at` (from 1) go wrong.
void begin(Kind kind, long at);
long calls();    ///< so far
bool happened(); ///< it went wrong

} // namespace fault
