#pragma once

/// Names in the file, in the order of the enumerations.
namespace session::names {

inline constexpr const char* lampEvent[] = {"lights", "goesOut"};
inline constexpr const char* onsetRule[] = {"firstVisibleChange", "threshold"};
inline constexpr const char* chartTheme[] = {"dark", "light"};
inline constexpr const char* spreadFrom[] = {"model", "typed", "trials"};
inline constexpr const char* regionKind[] = {"lamp", "screen"};
inline constexpr const char* readoutKind[] = {"unknown", "allAtOnce", "lineTime"};
inline constexpr const char* readoutDirection[] = {"unknown", "firstRowFirst", "lastRowFirst"};
inline constexpr const char* origin[] = {"reference", "declared", "stamps", "tag", "pictures"};
inline constexpr const char* rejectReason[] = {
    "hidden",     "noReaction", "earlyChange",    "wrongReaction", "doublePress",
    "staleState", "framesLost", "framesRepeated", "exposureStep",  "ripple",
    "torn",       "hitch",      "wrongSetUp",     "clipEdge",      "other",
};
/// In the order of the alternatives of Entity.
inline constexpr const char* entity[] = {"settings", "configuration", "run",  "errorSource",
                                         "clock",    "capture",       "trial"};

/// In the order of timing::PictureRepeats::Verdict.
inline constexpr const char* pictureVerdict[] = {"cantTell", "allAdd", "periodic", "blended", "irregular"};

} // namespace session::names
