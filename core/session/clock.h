#pragma once
#include "core/session/configuration.h"
#include "core/timing/rate_evidence.h"
#include <vector>

namespace session {

/// A cause of error with an identity, so that all that share it share its error.
struct ErrorSource {
    ErrorSourceId id;
    std::string name;               ///< "nominal rate of the bench camera, 960 mode"
    double relativeUncertainty = 0; ///< standard, >= 0
    bool operator==(const ErrorSource&) const = default;
};

/// One statement about the capture rate of a camera mode. Never averaged with another.
struct ClockEvidence {
    EvidenceId id;
    timing::RateEvidence rate;               ///< origin, rate, uncertainty, where it comes from
    std::vector<ErrorSourceId> errorSources; ///< whose root sum of squares is the rate's relative uncertainty
    bool operator==(const ClockEvidence&) const = default;
};

/// The analyst's decision. Without it there are counts of camera frames, never ms.
struct Settlement {
    EvidenceId evidence;
    std::string reason;
    std::string time; ///< ISO 8601 with offset
    bool operator==(const Settlement&) const = default;
};

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

/// Turns the frame numbers of one camera mode into seconds; shared by every capture made in that mode.
struct Clock {
    ClockId id;
    std::string name;     ///< "Bench camera, 960 mode"; not empty
    Texts camera;         ///< cameraFields()
    bool stamped = false; ///< true: time comes from each frame's stamp times `slowDown`; false: from number / rate
    double slowDown = 1;  ///< capture seconds per stamp second, > 0
    Readout readout;
    std::vector<ClockEvidence> evidence;
    std::optional<Settlement> settled;
    bool operator==(const Clock&) const = default;
};

enum class ClockState { Unknown, Proposed, InDispute, Settled };
/// Unknown: no evidence. InDispute: evidence disagrees beyond its uncertainty (timing::agree) and nothing is settled.
/// Proposed: evidence agrees, not settled.
ClockState stateOf(const Clock&);
/// Settled evidence; null while nothing is settled.
const ClockEvidence* settledEvidence(const Clock&);
const ClockEvidence* findEvidence(const Clock&, EvidenceId); ///< null when it isn't there
/// The best of the evidence by rank (reference, declared, stamps, tag); null when there is none.
const ClockEvidence* proposedEvidence(const Clock&);

} // namespace session
