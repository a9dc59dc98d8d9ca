#include "core/reading/hints.h"
#include "core/reading/hints_lamp.h"
#include "core/reading/hints_screen.h"
#include <algorithm>
#include <limits>

namespace reading {

std::vector<HintPair> findHints(const media::Trace& lamp, const media::Trace& screen, const media::Rect& screenRegion,
                                session::LampEvent event)
{
    std::vector<HintPair> pairs;
    for (const Hint& press : lampOnsets(lamp, event))
        pairs.push_back({press, {}});
    std::vector<timing::FrameNumber> before;
    for (std::size_t k = 0; k < pairs.size(); ++k) {
        const timing::FrameNumber press = pairs[k].press.frame;
        const timing::FrameNumber end =
            k + 1 < pairs.size() ? pairs[k + 1].press.frame : timing::FrameNumber{std::ssize(screen)};
        pairs[k].response = screenChange(screen, screenRegion, quietBefore(before, press), end);
        before.push_back(press);
    }
    return pairs;
}

session::ProposedPress proposedPress(const HintPair& pair, timing::FrameCount frames)
{
    constexpr timing::FrameCount off{12};
    const timing::FrameNumber at = pair.press.frame;
    const timing::FrameNumber end = pair.response ? std::max(pair.response->frame, at + off) : at + off;
    return {at, std::max(at - off, timing::FrameNumber{0}), std::min(end, timing::FrameNumber{frames.value - 1})};
}

bool belongsTo(const HintPair& pair, timing::FrameNumber press)
{
    const session::ProposedPress proposed = proposedPress(pair, {std::numeric_limits<std::int64_t>::max()});
    return press >= proposed.first && press <= proposed.last;
}

std::optional<timing::FrameNumber> nextHint(const std::vector<HintPair>& hints, timing::FrameNumber from, int direction)
{
    std::optional<timing::FrameNumber> nearest;
    const auto offer = [&](timing::FrameNumber frame) {
        const bool ahead = direction > 0 ? frame > from : frame < from;
        if (ahead && (!nearest || (direction > 0 ? frame < *nearest : frame > *nearest)))
            nearest = frame;
    };
    for (const HintPair& pair : hints) {
        offer(pair.press.frame);
        if (pair.response)
            offer(pair.response->frame);
    }
    return nearest;
}

} // namespace reading
