#include "core/reading/hints.h"

#include <algorithm>
#include <cmath>
#include <functional>

namespace reading {

namespace {

constexpr std::size_t window = 20;  ///< frames before an onset that it is compared with
constexpr std::size_t staysFor = 3; ///< frames that a change has to last
constexpr double spread = 5;        ///< k: one false alarm in hundreds of quiet frames would be too many
constexpr double strongSpread = 10;
constexpr double leastStep = 0.75;     ///< of 255: below it compression alone makes steps
constexpr std::size_t longWindow = 60; ///< frames before a press in which the most change is looked for
constexpr double overMost = 1.25;
constexpr double leastChange = 0.75; ///< of 255, a sample: below it compression alone makes steps
constexpr double leastContrast = 4;  ///< of 255: a lamp that changes less isn't one

using Value = std::function<double(const media::RegionLevels&)>;

double brightness(const media::RegionLevels& levels) { return levels.mean; }

struct Rest {
    double mean = 0, sd = 0;
};

/// Of up to `window` frames before `end`, `end` not included.
Rest restBefore(const media::Trace& trace, std::size_t end, const Value& value = brightness)
{
    const std::size_t from = end > window ? end - window : 0;
    const double n = static_cast<double>(end - from);
    Rest rest;
    if (end == from)
        return rest;
    for (std::size_t i = from; i < end; ++i)
        rest.mean += value(trace[i]);
    rest.mean /= n;
    for (std::size_t i = from; i < end; ++i)
        rest.sd += (value(trace[i]) - rest.mean) * (value(trace[i]) - rest.mean);
    rest.sd = n > 1 ? std::sqrt(rest.sd / (n - 1)) : 0;
    return rest;
}

double limitOf(const Rest& rest, double k) { return std::max(k * rest.sd, leastStep); }

/// Level halfway between what is common when dark and when lit; empty when the lamp never changes.
std::optional<double> halfway(const media::Trace& lamp)
{
    if (lamp.empty())
        return {};
    std::vector<double> levels;
    levels.reserve(lamp.size());
    for (const media::RegionLevels& level : lamp)
        levels.push_back(level.mean);
    std::ranges::sort(levels);
    // The ends themselves may be a flash of something else; a lamp lit in one frame of two hundred still shows.
    const double low = levels[levels.size() / 200], high = levels[levels.size() - 1 - levels.size() / 200];
    if (high - low < leastContrast)
        return {};
    return (low + high) / 2;
}

/// First frame of the change that passes the halfway level at `crossing`.
Hint onsetBefore(const media::Trace& lamp, std::size_t crossing, double sign)
{
    // The rise takes a few frames at most: rest is measured well before it.
    const std::size_t before = crossing > 8 ? crossing - 8 : 0;
    const Rest rest = before >= 2 ? restBefore(lamp, before) : Rest{lamp.front().mean, 0};
    const double limit = limitOf(rest, spread);
    std::size_t first = crossing;
    while (first > 0 && sign * (lamp[first - 1].mean - rest.mean) > limit)
        --first;
    const double step = std::abs(lamp[crossing].mean - rest.mean);
    return {{static_cast<std::int64_t>(first)}, step > limitOf(rest, strongSpread)};
}

std::optional<Hint> brightnessResponse(const media::Trace& screen, std::size_t press, std::size_t end)
{
    const Rest rest = restBefore(screen, press);
    const double limit = limitOf(rest, spread);
    for (std::size_t i = press; i + staysFor <= end; ++i) {
        const double sign = screen[i].mean > rest.mean ? 1 : -1;
        bool stays = true;
        for (std::size_t j = i; j < i + staysFor && stays; ++j)
            stays = sign * (screen[j].mean - rest.mean) > limit;
        if (stays) {
            const double step = std::abs(screen[i + staysFor - 1].mean - rest.mean);
            return Hint{{static_cast<std::int64_t>(i)}, step > limitOf(rest, strongSpread)};
        }
    }
    return {};
}

/// First frame that differs from the one before by more than is usual, and by more than moving things differed at their
/// most before the press. One frame is enough: what jumps once and then stands still changes in no other.
std::optional<Hint> changeResponse(const media::Trace& screen, std::size_t press, std::size_t end)
{
    struct Threshold {
        Value value;
        double weak = 0, strong = 0;
    };
    std::vector<Threshold> thresholds{
        {[](const media::RegionLevels& l) { return l.sincePrevious ? l.sincePrevious->luma : 0; }},
        {[](const media::RegionLevels& l) { return l.sincePrevious ? l.sincePrevious->chroma : 0; }}};
    for (Threshold& t : thresholds) {
        const Rest rest = restBefore(screen, press, t.value);
        // An encoder's own rhythm (a coarser picture every so often) is longer than the window: look back further for
        // the most.
        double most = 0;
        for (std::size_t i = press > longWindow ? press - longWindow : 1; i < press; ++i)
            most = std::max(most, t.value(screen[i]));
        t.weak = std::max(rest.mean + std::max(spread * rest.sd, leastChange), most * overMost);
        t.strong = std::max(rest.mean + std::max(strongSpread * rest.sd, 2 * leastChange), most * 2);
    }
    for (std::size_t i = press; i < end; ++i)
        for (const Threshold& t : thresholds)
            if (t.value(screen[i]) > t.weak)
                return Hint{{static_cast<std::int64_t>(i)}, t.value(screen[i]) > t.strong};
    return {};
}

/// By brightness where it says it clearly; else by change where that speaks, and sooner.
std::optional<Hint> responseAfter(const media::Trace& screen, std::size_t press, std::size_t end)
{
    end = std::min(end, screen.size());
    if (press < 2 || press + staysFor > end)
        return {};
    const auto byBrightness = brightnessResponse(screen, press, end);
    if (byBrightness && byBrightness->strong)
        return byBrightness;
    const auto byChange = changeResponse(screen, press, end);
    if (byBrightness && byChange)
        return byChange->frame < byBrightness->frame ? byChange : byBrightness;
    return byBrightness ? byBrightness : byChange;
}

} // namespace

std::vector<HintPair> findHints(const media::Trace& lamp, const media::Trace& screen, session::LampEvent event)
{
    std::vector<HintPair> pairs;
    const auto level = halfway(lamp);
    if (!level)
        return pairs;
    const double sign = event == session::LampEvent::Lights ? 1 : -1;
    const auto over = [&](std::size_t i) { return sign * (lamp[i].mean - *level) > 0; };
    std::vector<std::size_t> presses;
    for (std::size_t i = 1; i + 1 < lamp.size(); ++i)
        if (over(i) && !over(i - 1) && over(i + 1)) {
            const Hint hint = onsetBefore(lamp, i, sign);
            pairs.push_back({hint, {}});
            presses.push_back(static_cast<std::size_t>(hint.frame.value));
        }
    for (std::size_t k = 0; k < pairs.size(); ++k)
        pairs[k].response = responseAfter(screen, presses[k], k + 1 < presses.size() ? presses[k + 1] : screen.size());
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
