#pragma once
#include "core/timing/rational.h"
#include "core/timing/stamp_pattern.h"
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace timing {

/// A rate beyond this isn't a camera's; metadata holds anything.
inline constexpr double highestRate = 1e7;

struct PictureRepeats; // picture_repeats.h

/// Where a statement about the capture rate comes from, best first.
enum class Origin {
    Reference, ///< fit to a lamp of known frequency, or two events of known distance
    Declared,  ///< typed in by the analyst
    Stamps,    ///< the footage's own stamps where they are real times
    Tag,       ///< metadata: the rate that was asked for, nominal
    Pictures, ///< of the frames that another source counts so many show something new: says nothing of how long a frame
              ///< lasts
};

/// One statement about a capture rate. Statements stand side by side and are never averaged.
struct RateEvidence {
    Origin origin = Origin::Declared;
    double rate = 0;                    ///< camera frames a second, > 0
    std::optional<FrameRate> exactRate; ///< where the source states an exact ratio
    double relativeUncertainty = 0;     ///< standard, >= 0
    std::string note;                   ///< one sentence: what it rests on
    bool operator==(const RateEvidence&) const = default;
};

/// Half-width of the rectangular distribution of a consumer camera's or phone's rate around its nominal value until it
/// has been calibrated (Teeple et al. 2009, Gait & Posture 29:349: consumer cameras within 3 %).
inline constexpr double uncalibratedTolerance = 0.03;
/// Playback rates in use end at 60 a second, so footage slowed for viewing never has evenly stepping stamps above
/// this; a capture played in real time has (common practice, no source). Even steps at or below are playback.
inline constexpr double playbackLimit = 100;
/// Smallest relative standard uncertainty of rates by a device's own clock: crystals, 10 to 100 ppm (from memory).
inline constexpr double deviceClockUncertainty = 1e-4;

/// What the file itself says of its capture rate, best first; often nothing. Stamps count where they vary as real times
/// do or step evenly above `playbackLimit`; not where a tag shows that they were slowed, and not in bare streams
/// and picture folders, whose stamps are assumed. `tags` by libav's keys, `container` libav's short name.
std::vector<RateEvidence> gatherEvidence(const StampPattern& pattern, const std::map<std::string, std::string>& tags,
                                         const std::string& container);

/// A rate that the analyst types in, rectangular within `rate` * (1 +- tolerance).
/// Preconditions: `rate` > 0 and finite, `toleranceRelative` >= 0.
RateEvidence declaredEvidence(double rate, double toleranceRelative = uncalibratedTolerance);

/// What pictures that repeat in a pattern say against a rate that is `claimed`: as many a second as show something new.
/// Precondition: `repeats` is Periodic or Blended.
RateEvidence pictureEvidence(const PictureRepeats& repeats, const RateEvidence& claimed);

/// True when the two differ by no more than their combined expanded (k = 2) uncertainty, and where a reference meets
/// pictures: it counted camera frames, whether they show something new or not. False is a dispute.
bool agree(const RateEvidence& a, const RateEvidence& b);

/// One sentence for a pair in dispute: both rates, how far apart, and what a ratio near 2, 3, 4, 8, ... points to.
/// Empty when they agree.
std::string dispute(const RateEvidence& a, const RateEvidence& b);

/// "reference", "declared", "stamps", "tag", "pictures".
const char* label(Origin);

/// The exact rate of the 1000/1001 family within 20 ppm of `rate` ("240000/1001"), else empty. For display only.
std::optional<FrameRate> nearbyNtscRate(double rate);

} // namespace timing
