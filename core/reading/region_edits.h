#pragma once
#include "core/session/edits.h"
#include <set>

/// Regions of several captures in one edit. Nothing here looks at pictures.
namespace reading {

/// The region in its capture, and where it is the first of its kind there, the same in every capture of the same
/// picture size that has none. Region number 0 is a new one. Throws core::Error (Refused).
session::Edit drawRegion(const session::Document&, session::CaptureId, session::Region);

enum class CopyTo {
    AllCaptures,
    SameCamera, ///< those whose frames are read with the same clock
    Chosen,     ///< by the analyst, one by one
};

struct CopiedRegions {
    session::Edit edit;
    int captures = 0;  ///< that have other regions now
    int otherSize = 0; ///< left alone: their picture has another size
    int read = 0;      ///< that keep some as they are: trials are read in those
};
/// Each capture has the regions of `from` by kind and name: those it has beside them stay. Films of the reference lamp
/// take regions from each other only. Where the lamp's region moves, nobody has looked for presses any more. Throws
/// core::Error (Refused) where there is nothing to copy, or nowhere.
CopiedRegions copyRegions(const session::Document&, session::CaptureId from, CopyTo,
                          const std::set<session::CaptureId>& chosen = {});

} // namespace reading
