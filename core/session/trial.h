#pragma once
#include "core/session/ids.h"
#include "core/timing/packet_place.h"
#include "core/timing/units.h"
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace session {

/// PNG crops kept with a mark, by content hash (SHA-256, hex) in the session's evidence folder.
struct Crops {
    std::string lampBefore, lampAt, screenBefore, screenAt; ///< empty where there is no frame before or no region
    bool operator==(const Crops&) const = default;
};

/// The analyst's key on the frame in view. It is on the picture that comes from `packet`; `frame` is the number that
/// the footage gives it, as far as it is known.
struct Mark {
    timing::FrameNumber frame; ///< >= 0
    std::string pictureHash;   ///< MD5 of the tight-packed native planes, hex: evidence that it still is that picture
    Crops crops;
    std::optional<timing::PacketPlace> packet = {}; ///< empty: nobody knows yet, as in sessions of earlier times
    bool operator==(const Mark&) const = default;
};

/// One person's pair of marks for a trial.
struct Reading {
    ReadingId id;
    std::string reader;
    std::string time;      ///< ISO 8601 with offset, of the last mark
    std::string view;      ///< how it was looked at: "zoom 4, gain 2.0"
    bool blind = false;    ///< configuration hidden
    bool doubtful = false; ///< the reader isn't sure of a mark
    bool accepted = false; ///< the reader has gone on; before that it is half done
    std::optional<Mark> press;
    std::optional<Mark> response;
    bool noReaction = false; ///< nothing before the event definition's limit; then `response` is empty
    bool operator==(const Reading&) const = default;
};

enum class RejectReason {
    Hidden,
    NoReaction,
    EarlyChange,
    WrongReaction,
    DoublePress,
    StaleState,
    FramesLost,
    FramesRepeated,
    ExposureStep,
    Ripple,
    Torn,
    Hitch,
    WrongSetUp,
    ClipEdge,
    Other,
};
const char* label(RejectReason);      ///< on screen: "double press"
const char* definition(RejectReason); ///< one line: what it means

struct Reject {
    RejectReason reason = RejectReason::Other;
    std::string note; ///< not empty with Other
    std::string time;
    bool operator==(const Reject&) const = default;
};

/// One press with one response, seen in one lamp and one screen region.
struct Trial {
    TrialId id;
    CaptureId capture;
    RegionId lamp;                 ///< of that capture
    RegionId screen;               ///< of that capture
    ConfigurationId configuration; ///< 0 until tagged
    RunId run;                     ///< 0 until known
    std::vector<Reading> readings; ///< in the order they were begun
    ReadingId settled;             ///< chosen reading; 0: the first counts, and with several the trial is open
    std::optional<Reject> reject;
    std::string note;
    bool operator==(const Trial&) const = default;
};

const Reading* findReading(const Trial&, ReadingId); ///< null when the trial has none of that number
/// The reading that enters the statistics: the chosen one, else the first; null when there is none.
const Reading* countingReading(const Trial&);
/// Where the press of that reading lies; empty where there is none.
std::optional<timing::FrameNumber> pressOf(const Trial&);
bool isComplete(const Reading&); ///< both marks, or press and "no reaction"
/// Several complete readings differ and none is chosen.
bool isOpen(const Trial&);

} // namespace session
