#include "core/reading/footage_slips.h"
#include "core/media/measure/still_blocks.h"
#include "core/reading/hints_screen.h"

#include <algorithm>
#include <cmath>

namespace reading {
namespace {

/// Shift and light of a frame; empty where they aren't known.
const media::StillBlocks* scene(const media::Trace& trace, std::int64_t frame)
{
    if (frame < 0 || frame >= std::ssize(trace))
        return nullptr;
    const auto& blocks = trace[std::size_t(frame)].blocks;
    return blocks && blocks->movementKnown ? blocks.get() : nullptr;
}

double middlePlace(std::vector<double>& values)
{
    const auto at = values.begin() + std::ptrdiff_t(values.size() / 2);
    std::nth_element(values.begin(), at, values.end());
    return *at;
}

/// How far the scene has moved by `frame` from where it is for most of the trace.
double movedOff(const media::Trace& lamp, std::int64_t frame)
{
    std::vector<double> x, y;
    for (const media::RegionLevels& l : lamp)
        if (l.blocks && l.blocks->movementKnown) {
            x.push_back(l.blocks->dx);
            y.push_back(l.blocks->dy);
        }
    const media::StillBlocks* there = scene(lamp, frame);
    return there && !x.empty() ? std::hypot(there->dx - middlePlace(x), there->dy - middlePlace(y)) : 0;
}

/// Light of the surroundings, averaged over the frames from `from` to `to`.
std::optional<double> lightOf(const media::Trace& trace, std::int64_t from, std::int64_t to)
{
    double sum = 0;
    for (std::int64_t t = from; t < to; ++t) {
        const media::StillBlocks* there = scene(trace, t);
        if (!there)
            return {};
        sum += there->light;
    }
    return sum / double(to - from);
}

/// Ripple averages out over the frames compared; what stays is a step.
bool lightSteps(const media::Trace& trace, std::int64_t from, std::int64_t to)
{
    constexpr std::int64_t compared = 12; // frames; 5 periods of 100 Hz at 240 frames a second
    constexpr double step = 0.12;         // a sixth of a stop
    for (std::int64_t t = from; t <= to; ++t) {
        const auto before = lightOf(trace, t - compared, t), after = lightOf(trace, t, t + compared);
        if (before && after && *before > 0 && std::abs(*after / *before - 1) > step)
            return true;
    }
    return false;
}

} // namespace

std::vector<std::string> footageSlips(const media::Trace& lamp, const media::Trace& screen,
                                      const media::Rect& lampRegion, const std::vector<HintPair>& hints,
                                      const MarkedFrames& marks)
{
    std::vector<std::string> slips;
    const std::int64_t press = marks.press.value;
    const std::int64_t last = std::max(press, marks.response ? marks.response->value : press);
    const double moved = movedOff(lamp, press);
    const bool off = moved > 0.5 * std::min(lampRegion.width, lampRegion.height);
    if (off)
        slips.push_back("The camera has moved by " + std::to_string(std::lround(moved))
                        + " pixels, off the lamp region; put the region over the lamp for these trials.");
    const bool known = press < std::ssize(lamp) && !hints.empty();
    if (known && !off
        && std::ranges::none_of(hints, [&](const HintPair& pair) { return belongsTo(pair, marks.press); }))
        slips.push_back("The lamp doesn't change at the press; mark the frame in which it lights.");
    std::vector<timing::FrameNumber> presses;
    for (const HintPair& pair : hints)
        if (pair.press.frame.value < press && !belongsTo(pair, marks.press))
            presses.push_back(pair.press.frame);
    if (marks.response && press < std::ssize(screen)
        && nothingChanges(screen, quietBefore(presses, marks.press), *marks.response))
        slips.push_back("Nothing on the screen changes at the response; look at the frames before and after it.");
    if (lightSteps(lamp, press, last))
        slips.push_back("The picture's light steps at the marks or between them; reject the trial with \"exposure "
                        "step\" where that looks like the reaction.");
    return slips;
}

} // namespace reading
