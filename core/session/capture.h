#pragma once
#include "core/session/ids.h"
#include "core/timing/missing_frames.h"
#include "core/timing/picture_repeats.h"
#include "core/timing/units.h"
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

/// From frame `first` to frame `last` no time can be told at any step; a trial that crosses one has no delay.
struct UnknownStretch {
    timing::FrameNumber first;
    timing::FrameNumber last; ///< > first
    bool stampsTell = false;  ///< a stamped clock knows the time all the same
    std::string why;          ///< completes "no time can be told from frame 312 to 313: ..."
    bool operator==(const UnknownStretch&) const = default;
};

/// A further file of a recording that the camera split; the first one is the capture's own path.
struct FurtherPart {
    std::string path;               ///< as Capture::path
    timing::FrameNumber firstFrame; ///< the capture's number of its first frame, >= 1
    bool gapKnown = false; ///< else nobody knows how many frames lie between, and `unknown` goes from the frame
                           ///< before to firstFrame
    bool operator==(const FurtherPart&) const = default;
};

/// Whether every picture of a capture shows something new, as a look at them found (timing::PictureRepeats says how).
struct PictureFinding {
    timing::PictureRepeats::Verdict verdict = timing::PictureRepeats::Verdict::CantTell;
    int period = 1, adding = 1; ///< of every `period` pictures so many add something; both 1 without a pattern
    std::int64_t judged = 0;    ///< pictures that could be judged
    std::int64_t repeats = 0;   ///< of them, that add nothing
    bool byLamp = false;        ///< from a lamp that blinks just below half the claimed rate; else from what moves
    bool operator==(const PictureFinding&) const = default;
};

/// A press that the lamp's trace proposes; a press marked from frame `first` to frame `last` is this one.
struct ProposedPress {
    timing::FrameNumber frame, first, last; ///< first <= frame <= last
    bool operator==(const ProposedPress&) const = default;
};

/// What the trace of a capture's first lamp region proposes, looked through to its end.
struct PressFinding {
    std::vector<ProposedPress> proposed; ///< ascending by `frame`
    bool operator==(const PressFinding&) const = default;
};

/// Frames from `firstFrame` up to the next piece were captured or stored at a speed of their own, so that they have a
/// clock of their own.
struct Piece {
    timing::FrameNumber firstFrame;
    ClockId clock;          ///< 0: no capture rate holds there, as where one speed passes into another
    bool fromStamps = true; ///< the file says so, by its stamps or its slow-motion segments; false: the analyst does
    double stepSeconds = 0; ///< what the stamps step by, > 0; 0: by nothing even, or nobody knows
    int slowedBy = 1;       ///< how many times slower the file's slow-motion segments want it played, >= 1
    bool operator==(const Piece&) const = default;
};

/// An entry of the file's metadata that states a capture rate or could be taken for one; timing::readTag() says what it
/// means.
struct RateTag {
    std::string key, value;
    bool operator==(const RateTag&) const = default;
};

/// How a file says that it was stored: what captures of one camera in one mode have in common.
struct StoredAs {
    std::string codec;      ///< libav's short name
    std::string camera;     ///< maker and model by its tags; empty where they don't tell
    double stepSeconds = 0; ///< what the stamps step by, > 0; 0: by nothing even, or nobody knows
    bool operator==(const StoredAs&) const = default;
};

/// One piece of footage and what must be known of it when it isn't there.
struct Capture {
    CaptureId id;
    int position = 0;
    std::string name; ///< not empty
    std::string path; ///< relative to the session file's folder with '/', or absolute if elsewhere
    bool pictureFolder = false;
    std::vector<FurtherPart> furtherParts; ///< ascending by `firstFrame`; none of a picture folder
    std::optional<int>
        stream; ///< which of the file's moving pictures, by the container's number; empty: the one it opens with
    std::string sha256;          ///< lower-case hex, of all parts together; empty until the background hash is done
    timing::FrameCount frames{}; ///< presented when it was indexed, >= 1
    int width = 0, height = 0;   ///< native, unturned
    std::vector<timing::Gap> missing;           ///< ascending, counted into capture time
    std::vector<UnknownStretch> unknown;        ///< ascending by `first`
    std::vector<RateTag> rateTags;              ///< in the order of timing::readTags()
    std::optional<StoredAs> stored;             ///< empty in sessions of earlier times
    std::vector<std::string> notes;             ///< what indexing found doubtful, one sentence each
    ClockId clock;                              ///< 0 while none is assigned; with `pieces` the clock of one of them
    std::optional<PictureFinding> pictures;     ///< empty: nobody looked
    std::optional<PressFinding> presses;        ///< empty: nobody looked through the lamp's trace
    std::vector<timing::FrameNumber> noPresses; ///< proposed, and the analyst says that they are none; ascending
    std::vector<Piece> pieces; ///< empty: `clock` holds throughout. Else two or more, ascending, the first from frame 0
    bool lampReference = false;    ///< it shows a lamp of known frequency for the clock: no presses, no trials
    ConfigurationId configuration; ///< proposed for its trials; 0 is none
    RunId run;                     ///< proposed for its trials; 0 is none
    std::vector<Region> regions;   ///< any number of each kind
    std::vector<double>
        stampSeconds;            ///< only where a stamped clock needs them: one a frame (NaN: no stamp), else empty
    double stampTickSeconds = 0; ///< what those stamps are rounded to, >= 0
};
bool operator==(const Capture&, const Capture&); ///< a frame without a stamp equals another without one

/// The piece that holds `frame`; null without pieces.
const Piece* pieceAt(const Capture&, timing::FrameNumber frame);
timing::FrameNumber lastFrame(const Capture&);
timing::FrameNumber lastFrame(const Capture&, const Piece&); ///< of a piece of this capture
/// Whether two pieces were stored at one speed and are to be played alike, so that what is known of one rate holds for
/// the other.
bool sameKind(const Piece&, const Piece&);
/// What the time of `frame` is read with; 0 is none.
ClockId clockAt(const Capture&, timing::FrameNumber frame);
/// Whether all or a piece of it is read with this clock.
bool runsOn(const Capture&, ClockId);
/// What all or a piece of it is read with, each once, in order of frames; without 0.
std::vector<ClockId> clocksOf(const Capture&);
/// The first frame of a piece after `from` and not after `to`: no clock tells the time between the two. Empty: one
/// does.
std::optional<timing::FrameNumber> boundaryBetween(const Capture&, timing::FrameNumber from, timing::FrameNumber to);

/// Null when the capture has none such.
const Region* findRegion(const Capture&, RegionId);
const Region* firstRegion(const Capture&, RegionKind);

} // namespace session
