#include "core/session/clock.h"
#include <algorithm>

namespace session {

namespace {

bool allAgree(const std::vector<ClockEvidence>& evidence)
{
    for (auto a = evidence.begin(); a != evidence.end(); ++a)
        for (auto b = std::next(a); b != evidence.end(); ++b)
            if (!timing::agree(a->rate, b->rate))
                return false;
    return true;
}

} // namespace

const ClockEvidence* findEvidence(const Clock& clock, EvidenceId id)
{
    const auto found = std::ranges::find(clock.evidence, id, &ClockEvidence::id);
    return found == clock.evidence.end() ? nullptr : &*found;
}

ClockState stateOf(const Clock& clock)
{
    if (clock.settled)
        return ClockState::Settled;
    if (clock.evidence.empty())
        return ClockState::Unknown;
    return allAgree(clock.evidence) ? ClockState::Proposed : ClockState::InDispute;
}

const ClockEvidence* settledEvidence(const Clock& clock)
{
    return clock.settled ? findEvidence(clock, clock.settled->evidence) : nullptr;
}

const ClockEvidence* proposedEvidence(const Clock& clock)
{
    const auto best = std::ranges::min_element(clock.evidence, [](const ClockEvidence& a, const ClockEvidence& b) {
        return std::pair(a.rate.origin, a.rate.relativeUncertainty)
               < std::pair(b.rate.origin, b.rate.relativeUncertainty);
    });
    return best == clock.evidence.end() ? nullptr : &*best;
}

} // namespace session
