#include "core/reading/picture_finding.h"
#include <algorithm>

namespace reading {

session::PictureFinding findingOf(const timing::PictureRepeats& repeats, bool byLamp)
{
    return {repeats.verdict,
            repeats.period,
            repeats.adding,
            repeats.judged,
            std::min<std::int64_t>(std::ssize(repeats.repeats), repeats.judged),
            byLamp};
}

bool isAlarming(const session::PictureFinding& finding)
{
    using Verdict = timing::PictureRepeats::Verdict;
    return finding.verdict != Verdict::AllAdd && finding.verdict != Verdict::CantTell;
}

std::optional<double> claimedRate(const session::Document& document, session::ClockId id)
{
    const session::Clock* clock = session::find(document, id);
    const session::ClockEvidence* best = clock ? session::proposedEvidence(*clock) : nullptr;
    return best && best->rate.origin != timing::Origin::Pictures ? std::optional(best->rate.rate) : std::nullopt;
}

} // namespace reading
