#include "core/reading/hints_screen.h"
#include "core/media/measure/still_blocks.h"
#include "core/reading/change_test.h"
#include "core/reading/screen_mover.h"

#include <algorithm>
#include <cmath>

namespace reading {
namespace {

constexpr std::int64_t mostHistory = 2000;  // frames before a press
constexpr std::int64_t leastHistory = 24;   // frames
constexpr std::int64_t mostSearched = 4000; // frames after a press

media::Rect blockAt(const media::Rect& region, int side, int columns, std::size_t place)
{
    const int x = int(place) % columns * side, y = int(place) / columns * side;
    const auto extent = [side](int from, int length) { return length - from < 2 * side ? length - from : side; };
    return {region.x + x, region.y + y, extent(x, region.width), extent(y, region.height)};
}

/// What kind of change it is, by what the blocks do in the frames after it.
ChangeKind kindOf(const Series& luma, const ChangeTest::Found& found, std::int64_t end)
{
    constexpr std::int64_t watched = 40;
    const std::int64_t soon = found.onset + stretch, late = std::min(end - 1, soon + watched);
    if (late <= soon + 4)
        return ChangeKind::Appears;
    // Motion goes on: the blocks themselves change again, or others join them.
    const std::vector<float> early = meanOf(luma, soon, soon + 2);
    const std::vector<float> after = meanOf(luma, late - 2, late);
    const std::vector<float> before = meanOf(luma, found.onset - 4, found.onset);
    double step = 0, later = 0;
    for (std::size_t i = 0; i < luma.places; ++i) {
        step += std::pow(double(early[i] - before[i]), 2);
        later += std::pow(double(after[i] - early[i]), 2);
    }
    if (later > 0.35 * step)
        return ChangeKind::MotionStarts;
    int up = 0;
    for (const auto& [i, weight] : found.places)
        up += weight > 0 ? 1 : -1;
    const bool wide = found.places.size() * 12 > luma.places;
    return wide && std::size_t(std::abs(up)) * 10 > found.places.size() * 9 ? ChangeKind::BrightnessStep
                                                                            : ChangeKind::Appears;
}

/// The quiet stretches as far as blocks are as those of the press, which has some.
std::vector<Frames> knownOf(const media::Trace& screen, const std::vector<QuietStretch>& quiet)
{
    const std::int64_t press = quiet.back().to.value;
    const std::int64_t earliest = std::max(quiet.front().from.value, press - mostHistory);
    const media::StillBlocks& kind = *screen[std::size_t(press)].blocks;
    std::int64_t first = press;
    while (first > earliest && screen[std::size_t(first - 1)].blocks
           && screen[std::size_t(first - 1)].blocks->alike(kind))
        --first;
    std::vector<Frames> known;
    for (const QuietStretch& q : quiet)
        if (q.to.value > first)
            known.push_back({std::max(q.from.value, first), q.to.value});
    return known;
}

} // namespace

std::vector<QuietStretch> quietBefore(const std::vector<timing::FrameNumber>& presses, timing::FrameNumber press)
{
    std::vector<QuietStretch> quiet;
    std::int64_t before = 0;
    const auto add = [&](timing::FrameNumber to) {
        quiet.push_back({{quiet.empty() ? 0 : before + (to.value - before) / 2}, to});
        before = to.value;
    };
    for (const timing::FrameNumber p : presses)
        if (p < press)
            add(p);
    add(press);
    return quiet;
}

std::optional<ResponseHint> screenChange(const media::Trace& screen, const media::Rect& region,
                                         const std::vector<QuietStretch>& quiet, timing::FrameNumber endFrame)
{
    const std::int64_t press = quiet.back().to.value;
    const std::int64_t end = std::min({endFrame.value, std::ssize(screen), press + mostSearched});
    if (press >= std::ssize(screen) || !screen[std::size_t(press)].blocks)
        return {};
    const media::StillBlocks& kind = *screen[std::size_t(press)].blocks;
    const std::vector<Frames> known = knownOf(screen, quiet);
    if (known.empty() || press - known.back().from < leastHistory || press + 2 * stretch > end || kind.luma.empty())
        return {};

    const ScreenSeries s = seriesOf(screen, known.front().from, press, end);
    const ScreenMover mover(s.plain, known, s.plain.end());
    std::optional<ResponseHint> best;
    const auto offer = [&](std::int64_t frame, double strength, ChangeKind change, std::vector<media::Rect> blocks) {
        // Of those that come together the strongest says what it is, and when.
        if (!best || frame < best->frame.value - stretch
            || (frame <= best->frame.value + stretch && strength > best->strength))
            best = ResponseHint{{{frame}, strength}, change, std::move(blocks)};
    };
    if (const auto found = ChangeTest(s.common, s.alone, known).find(end))
        offer(found->onset, found->strength, ChangeKind::BrightnessStep, {region});
    if (const auto found = ChangeTest(s.luma, s.alone, known, mover.places()).find(end)) {
        std::vector<media::Rect> blocks;
        for (const auto& [i, weight] : found->places)
            blocks.push_back(blockAt(region, kind.side, kind.columns, i));
        offer(found->onset, found->strength, kindOf(s.plain, *found, s.plain.end()), std::move(blocks));
    }
    if (!kind.colour.empty())
        if (const auto found = ChangeTest(s.colour, s.alone, known).find(end)) {
            std::vector<media::Rect> blocks;
            const std::size_t count = kind.colour.size() / 2;
            for (const auto& [i, weight] : found->places)
                if (const media::Rect r = blockAt(region, 2 * kind.side, kind.colourColumns, i % count);
                    std::ranges::find(blocks, r) == blocks.end())
                    blocks.push_back(r);
            offer(found->onset, found->strength, ChangeKind::Colour, std::move(blocks));
        }
    if (const auto stop = mover.stop()) {
        // What moves comes to new places, which are weak changes by themselves.
        if (best && best->kind != ChangeKind::Colour && best->strength < 2 && best->strength < stop->strength)
            best.reset();
        const auto columns = std::size_t(kind.columns);
        std::vector<media::Rect> blocks;
        for (const std::size_t i : {stop->place, stop->place + 1, stop->place + columns, stop->place + columns + 1})
            blocks.push_back(blockAt(region, kind.side, kind.columns, i));
        offer(stop->frame, stop->strength, ChangeKind::MotionStops, std::move(blocks));
    }
    return best;
}

bool nothingChanges(const media::Trace& screen, const std::vector<QuietStretch>& quiet, timing::FrameNumber response)
{
    constexpr std::int64_t around = 3;  // frames
    constexpr std::int64_t before = 40; // frames in which something may have moved
    constexpr double little = 0.8;      // of k
    const std::int64_t press = quiet.back().to.value, end = response.value + around + stretch + 1;
    if (response.value <= press || end > std::ssize(screen) || !screen[std::size_t(press)].blocks
        || screen[std::size_t(press)].blocks->luma.empty())
        return false;
    const std::vector<Frames> known = knownOf(screen, quiet);
    if (known.empty() || press - known.back().from < leastHistory)
        return false;
    const ScreenSeries s = seriesOf(screen, known.front().from, press, end);
    for (const Series* series : {&s.common, &s.luma, &s.colour}) {
        if (series->places == 0)
            continue;
        const ChangeTest test(*series, s.alone, known);
        const std::int64_t since = std::max(press + 1, response.value - before);
        for (std::int64_t t = since; t <= response.value + around; ++t)
            if (test.strengthAt(t) >= little)
                return false;
    }
    return true;
}

} // namespace reading
