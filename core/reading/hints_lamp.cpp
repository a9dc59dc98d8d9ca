#include "core/reading/hints_lamp.h"
#include "core/media/measure/still_blocks.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace reading {
namespace {

constexpr double leastContrast = 4; // levels: a lamp that changes less isn't one
constexpr double overSpread = 8;    // times the spread of its dark level, at least; a sine's range is 6.6 of the kind
constexpr std::size_t chunk = 500;  // frames; the lamp's levels are looked for in three of them
constexpr std::size_t alwaysBridged = 2; // dark frames within a press
constexpr std::size_t longestPulse = 12; // frames that pulse width may leave dark
constexpr std::size_t restFrames = 20;   // that an onset is compared with
constexpr double restSpread = 4.5;       // SD; P(one of 20 frames is beyond) < 2e-4
constexpr double plainLight = 0.1;       // of the lamp's step
constexpr double leastLight = 0.01;      // of the lamp's step: below it it isn't first light but glare

double middleOf(std::vector<double> values)
{
    const auto middle = values.begin() + std::ptrdiff_t(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// What share of the room's light a region takes part in: a lamp shines by itself. From what both do from one frame to
/// the next, the lamp's own onsets left out.
double shareOfRoom(const std::vector<double>& logLevel, const std::vector<double>& logLight)
{
    constexpr double onset = 6; // times the usual step
    std::vector<double> steps;
    for (std::size_t i = 1; i < logLevel.size(); ++i)
        steps.push_back(std::abs(logLevel[i] - logLevel[i - 1]));
    const double most = onset * middleOf(steps);
    double both = 0, square = 1e-9;
    for (std::size_t i = 1; i < logLevel.size(); ++i)
        if (steps[i - 1] <= most) {
            const double light = logLight[i] - logLight[i - 1];
            both += light * (logLevel[i] - logLevel[i - 1]);
            square += light * light;
        }
    return std::clamp(both / square, 0.0, 1.0);
}

/// Brightness of the region with the room's light divided out, turned so that a press goes up.
std::vector<double> brightness(const media::Trace& lamp, session::LampEvent event)
{
    const bool lightKnown = std::ranges::all_of(lamp, [](const media::RegionLevels& l) {
        return l.blocks && l.blocks->movementKnown && !l.blocks->luma.empty();
    });
    std::vector<double> values;
    for (const media::RegionLevels& l : lamp)
        values.push_back(l.mean);
    if (lightKnown) {
        std::vector<double> logLevel, logLight;
        for (std::size_t i = 0; i < lamp.size(); ++i) {
            const std::vector<std::int16_t>& luma = lamp[i].blocks->luma;
            values[i] = std::accumulate(luma.begin(), luma.end(), 0.0) / double(luma.size()) * media::StillBlocks::unit;
            logLevel.push_back(std::log(std::max(values[i], 1.0)));
            logLight.push_back(std::log(std::max(lamp[i].blocks->light, 1e-3)));
        }
        const double share = shareOfRoom(logLevel, logLight);
        for (std::size_t i = 0; i < lamp.size(); ++i)
            values[i] /= std::exp(share * logLight[i]);
    }
    if (event == session::LampEvent::GoesOut)
        for (double& value : values)
            value = -value;
    return values;
}

struct Levels {
    double low = 0, high = 0;
    double middle() const { return (low + high) / 2; }
};

/// What is common when dark and when lit. The ends themselves may be a flash of something else; a lamp lit in one frame
/// of two hundred still shows.
Levels levelsOf(const std::vector<double>& values, std::size_t from, std::size_t to)
{
    std::vector<double> sorted(values.begin() + std::ptrdiff_t(from), values.begin() + std::ptrdiff_t(to));
    std::ranges::sort(sorted);
    const std::size_t end = sorted.size() / 200;
    return {sorted[end], sorted[sorted.size() - 1 - end]};
}

/// The lamp's two levels around each frame; empty where it has no two.
std::vector<Levels> levelsAround(const std::vector<double>& values)
{
    const std::size_t n = values.size();
    const Levels all = levelsOf(values, 0, n);
    if (all.high - all.low < leastContrast)
        return {};
    std::vector<Levels> around(n);
    for (std::size_t from = 0; from < n; from += chunk) {
        const Levels here = levelsOf(values, from > chunk ? from - chunk : 0, std::min(n, from + 2 * chunk));
        const bool both = here.high - here.low > 0.35 * (all.high - all.low);
        for (std::size_t i = from; i < std::min(n, from + chunk); ++i)
            around[i] = both ? here : all;
    }
    // The spread about the dark level, with what drifts left out.
    constexpr std::size_t near = 80; // frames
    std::vector<double> away;
    for (std::size_t from = 0; from < n; from += near) {
        std::vector<double> here;
        for (std::size_t i = from; i < std::min(n, from + near); ++i)
            if (values[i] < around[i].middle())
                here.push_back(values[i]);
        if (here.empty())
            continue;
        const double middle = middleOf(here);
        for (const double v : here)
            away.push_back(std::abs(v - middle));
    }
    if (all.high - all.low < overSpread * 1.4826 * middleOf(away))
        return {};
    return around;
}

struct Lit {
    std::size_t from = 0, to = 0; ///< frames, end excluded
};

/// Runs above the middle; what pulse width leaves dark within one is bridged.
std::vector<Lit> litRuns(const std::vector<double>& values, const std::vector<Levels>& levels)
{
    std::vector<Lit> runs;
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (values[i] <= levels[i].middle())
            continue;
        if (!runs.empty() && runs.back().to == i)
            ++runs.back().to;
        else
            runs.push_back({i, i + 1});
    }
    std::vector<double> shortOnes;
    for (std::size_t k = 1; k < runs.size(); ++k)
        if (const std::size_t gap = runs[k].from - runs[k - 1].to; gap <= longestPulse)
            shortOnes.push_back(double(gap));
    std::size_t bridged = alwaysBridged;
    const std::size_t longOnes = runs.empty() ? 0 : runs.size() - shortOnes.size();
    if (shortOnes.size() >= 5 * std::max<std::size_t>(longOnes, 1))
        bridged = std::max(bridged, std::size_t(1.5 * middleOf(shortOnes) + 0.5));
    std::vector<Lit> joined;
    for (const Lit& run : runs)
        if (!joined.empty() && run.from - joined.back().to <= bridged)
            joined.back().to = run.to;
        else
            joined.push_back(run);
    return joined;
}

/// On and off evenly from the first frame to the last.
bool isReference(const std::vector<Lit>& runs, std::size_t frames)
{
    constexpr std::size_t leastCycles = 8;
    if (runs.size() < leastCycles)
        return false;
    const double period = double(runs.back().from - runs.front().from) / double(runs.size() - 1);
    double lit = 0;
    for (std::size_t k = 0; k < runs.size(); ++k) {
        const double expected = double(runs.front().from) + period * double(k);
        if (std::abs(double(runs[k].from) - expected) > std::max(2.0, 0.04 * period))
            return false;
        lit += double(runs[k].to - runs[k].from);
    }
    const double share = lit / (period * double(runs.size()));
    return share > 0.25 && share < 0.75 && double(runs.front().from) < 1.5 * period
           && double(frames) - double(runs.back().from) < 2.5 * period;
}

/// Leaves the first of each burst of a button that fires by itself, or of a lamp whose pulses beat with the camera:
/// lightings whose distances are equal, or shorter than any hand is, and far shorter than those between bursts.
std::vector<Lit> withoutBursts(const std::vector<Lit>& runs)
{
    std::vector<double> distances;
    for (std::size_t k = 1; k < runs.size(); ++k)
        distances.push_back(double(runs[k].from - runs[k - 1].from));
    std::ranges::sort(distances);
    constexpr double fastest = 16; // frames; 67 ms at 240 a second
    double longest = 0;            // of those within a burst
    for (std::size_t k = 2; k < distances.size(); ++k)
        if (distances[k] > 2.2 * distances[k - 1]) {
            if (distances[k - 1] <= fastest || distances[k - 1] - distances[0] <= std::max(2.0, 0.1 * distances[0]))
                longest = distances[k - 1];
            break;
        }
    std::vector<Lit> first;
    for (std::size_t k = 0; k < runs.size(); ++k)
        if (k == 0 || double(runs[k].from - runs[k - 1].from) > longest)
            first.push_back(runs[k]);
    return first;
}

Hint onsetOf(const std::vector<double>& values, const std::vector<Levels>& levels, std::size_t crossing,
             std::size_t darkSince)
{
    // The rise takes a few frames at most: rest is measured before it.
    constexpr std::size_t rise = 4;
    const std::size_t end = crossing > darkSince + rise + 4 ? crossing - rise : crossing;
    const std::size_t from = std::max(darkSince, end > restFrames ? end - restFrames : 0);
    double mean = 0, sd = 0;
    for (std::size_t i = from; i < end; ++i)
        mean += values[i];
    mean /= double(std::max<std::size_t>(end - from, 1));
    for (std::size_t i = from; i < end; ++i)
        sd += (values[i] - mean) * (values[i] - mean);
    sd = end > from + 1 ? std::sqrt(sd / double(end - from - 1)) : 0;
    const double step = levels[crossing].high - levels[crossing].low;
    const double limit = std::max({restSpread * sd, leastLight * step, 0.25});
    std::size_t first = crossing;
    const auto lit = [&](std::size_t i, double above) { return i >= darkSince && values[i] - mean > above; };
    while (first > darkSince) {
        if (lit(first - 1, limit))
            --first;
        else if (first > 1 && lit(first - 2, std::max(limit, plainLight * step))) // between two pulses
            first -= 2;
        else
            break;
    }
    return {{std::int64_t(first)}, std::max(1.0, step / std::max(leastContrast, overSpread * sd))};
}

} // namespace

std::vector<Hint> lampOnsets(const media::Trace& lamp, session::LampEvent event)
{
    constexpr std::size_t leastFrames = 4;
    if (lamp.size() < leastFrames)
        return {};
    const std::vector<double> values = brightness(lamp, event);
    const std::vector<Levels> levels = levelsAround(values);
    if (levels.empty())
        return {};
    const std::vector<Lit> runs = litRuns(values, levels);
    if (isReference(runs, lamp.size()))
        return {};
    std::vector<Hint> onsets;
    std::size_t darkSince = 0;
    for (const Lit& run : withoutBursts(runs)) {
        const auto before = std::ranges::find(runs, run.from, &Lit::from);
        darkSince = before == runs.begin() ? 0 : std::prev(before)->to + 1;
        const bool stays = run.to - run.from > 1;
        if (run.from > 0 && stays)
            onsets.push_back(onsetOf(values, levels, run.from, std::min(darkSince, run.from)));
    }
    return onsets;
}

} // namespace reading
