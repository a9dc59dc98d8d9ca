#pragma once
#include "core/session/configuration.h"
#include <string>

namespace session {

enum class ReadoutKind { Unknown, AllAtOnce, LineTime };
enum class ReadoutDirection { Unknown, FirstRowFirst, LastRowFirst };

/// How the sensor exposes its rows in one camera mode. Rows are those of the native, unturned picture.
struct Readout {
    ReadoutKind kind = ReadoutKind::Unknown;
    double lineTimeSeconds = 0; ///< from a row's exposure to the next one's, >= 0; above 0 with ReadoutKind::LineTime
    double uncertaintySeconds = 0; ///< standard, of the line time, >= 0
    ReadoutDirection direction = ReadoutDirection::Unknown;
    std::string note; ///< where it is known from; may be empty
    bool operator==(const Readout&) const = default;
};

/// What sessions meant that had the camera's checklist only: all rows at once where its readout says "global", else
/// unknown.
Readout readoutByNote(const Texts& camera);

} // namespace session
