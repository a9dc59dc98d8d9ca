#include "core/reading/hints.h"
#include "core/reading/hints_lamp.h"
#include "core/reading/hints_screen.h"

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

bool belongsTo(const HintPair& pair, timing::FrameNumber press)
{
    constexpr std::int64_t off = 12;
    const std::int64_t end = pair.response ? pair.response->frame.value : pair.press.frame.value + off;
    return press.value >= pair.press.frame.value - off && press.value <= std::max(end, pair.press.frame.value + off);
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
