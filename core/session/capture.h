#pragma once
#include "core/session/ids.h"
#include <optional>
#include <string>
#include <vector>

namespace session {

enum class RegionKind { Lamp, Screen };

/// Named rectangle in the native (unturned) picture, in pixels.
struct Region {
    RegionId id;
    RegionKind kind = RegionKind::Lamp;
    std::string name;
    int x = 0, y = 0, width = 0, height = 0; ///< inside the picture, width and height >= 1
    bool operator==(const Region&) const = default;
};

/// `count` frames known to be missing right before frame `before`.
struct Missing {
    std::int64_t before = 0;
    std::int64_t count = 0;
    bool operator==(const Missing&) const = default;
};

/// From frame `first` to frame `last` no time can be told at any step; a trial that crosses one has no delay.
struct UnknownStretch {
    std::int64_t first = 0;
    std::int64_t last = 0;       ///< > first
    bool stampsTell = false;     ///< a stamped clock knows the time all the same
    std::string why;             ///< completes "no time can be told from frame 312 to 313: ..."
    bool operator==(const UnknownStretch&) const = default;
};

/// A further file of a recording that the camera split; the first one is the capture's own path.
struct FurtherPart {
    std::string path;            ///< as Capture::path
    std::int64_t firstFrame = 0; ///< the capture's number of its first frame, >= 1
    bool gapKnown = false;       ///< else nobody knows how many frames lie between, and `unknown` holds {firstFrame - 1, firstFrame}
    bool operator==(const FurtherPart&) const = default;
};

/// One piece of footage and what must be known of it when it isn't there.
struct Capture {
    CaptureId id;
    int position = 0;
    std::string name;                 ///< not empty
    std::string path;                 ///< relative to the session file's folder with '/', or absolute if elsewhere
    bool pictureFolder = false;
    std::vector<FurtherPart> furtherParts; ///< ascending by `firstFrame`; none of a picture folder
    std::optional<int> stream;        ///< which of the file's moving pictures, by the container's number; empty: the one it opens with
    std::string sha256;               ///< lower-case hex, of all parts together; empty until the background hash is done
    std::int64_t frames = 0;          ///< presented frames when it was indexed, >= 1
    int width = 0, height = 0;        ///< native, unturned
    std::vector<Missing> missing;     ///< ascending, counted into capture time
    std::vector<UnknownStretch> unknown; ///< ascending by `first`
    std::vector<std::string> notes;   ///< what indexing found doubtful, one sentence each
    ClockId clock;                    ///< 0 while none is assigned
    ConfigurationId configuration;    ///< proposed for its trials; 0 is none
    RunId run;                        ///< proposed for its trials; 0 is none
    std::vector<Region> regions;      ///< any number of each kind
    std::vector<double> stampSeconds; ///< only where a stamped clock needs them: one a frame (NaN: no stamp), else empty
    double stampTickSeconds = 0;      ///< what those stamps are rounded to, >= 0
};
bool operator==(const Capture&, const Capture&); ///< a frame without a stamp equals another without one

/// Null when the capture has none such.
const Region* findRegion(const Capture&, RegionId);
const Region* firstRegion(const Capture&, RegionKind);

} // namespace session
