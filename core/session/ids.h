#pragma once
#include <compare>
#include <cstdint>

namespace session {

/// Number of one thing in a session; never given twice in the life of a session, 0 is none.
template <class Tag> struct Id {
    std::int64_t value = 0;
    auto operator<=>(const Id&) const = default;
    explicit operator bool() const { return value != 0; }
};

using ConfigurationId = Id<struct ConfigurationTag>;
using RunId = Id<struct RunTag>;
using ClockId = Id<struct ClockTag>;
using ErrorSourceId = Id<struct ErrorSourceTag>;
using CaptureId = Id<struct CaptureTag>;
using RegionId = Id<struct RegionTag>;
using TrialId = Id<struct TrialTag>;
using ReadingId = Id<struct ReadingTag>;
using PublicationId = Id<struct PublicationTag>;
using EarlierSessionId = Id<struct EarlierSessionTag>;
using EvidenceId = Id<struct EvidenceTag>;

} // namespace session
