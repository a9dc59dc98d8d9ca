#include "core/timing/lamp_edges.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <utility>

namespace timing {
namespace {

constexpr std::size_t fewestLevels = 8;
/// Two states lie at least this many times the noise apart; noise alone, split in two, lies 1.6 apart.
constexpr double leastSeparation = 8;
/// Nor closer than this in levels of 0..255, where compression makes noise vanish.
constexpr double leastChange = 2;
/// A state is left only well beyond the half, so that noise on a half lit frame makes no edges of its own.
constexpr double hysteresis = 0.15;
constexpr double noiseReach = 4;  ///< times the standard deviation
constexpr double longestRamp = 2; ///< frames over which one change of light may spread
constexpr double mostDoubt = 2;
constexpr std::size_t blockFrames = 32; ///< levels of a state are taken over three such blocks
constexpr std::size_t fewestInBlocks = 3;
constexpr std::size_t mostAlike = 5; ///< frames that may all show the one picture a camera stored again and again
constexpr double alikeWithin = 0.02; ///< of the light's change: what coding a picture once more does to its level

struct Sample {
    std::int64_t frame = 0;
    double level = 0;
};

double quantile(std::vector<double> values, double share)
{
    const auto place =
        values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1) + 0.5);
    std::nth_element(values.begin(), place, values.end());
    return *place;
}

/// Level that parts the samples into two classes with the least scatter within them (Otsu 1979, on the sorted samples).
double dividingLevel(const std::vector<Sample>& samples)
{
    std::vector<double> sorted;
    for (const Sample& sample : samples)
        sorted.push_back(sample.level);
    std::sort(sorted.begin(), sorted.end());
    double total = 0;
    for (const double level : sorted)
        total += level;
    double below = 0, best = -1, divide = sorted.front();
    const auto n = static_cast<double>(sorted.size());
    for (std::size_t i = 0; i + 1 < sorted.size(); ++i) {
        below += sorted[i];
        const auto count = static_cast<double>(i + 1);
        const double apart = (total - below) / (n - count) - below / count;
        const double between = count * (n - count) * apart * apart;
        if (between > best && sorted[i + 1] > sorted[i]) {
            best = between;
            divide = (sorted[i] + sorted[i + 1]) / 2;
        }
    }
    return divide;
}

/// The two states' levels around a sample.
struct States {
    double dark = 0, lit = 0;
};

class Levels {
public:
    Levels(const std::vector<Sample>& samples, double divide) : m_samples(samples)
    {
        std::vector<double> dark, lit;
        m_inside.resize(samples.size());
        std::vector<double> all;
        for (const Sample& sample : samples)
            all.push_back(sample.level);
        const double alike = alikeWithin * (quantile(all, 0.95) - quantile(all, 0.05));
        for (std::size_t first = 0; first < samples.size();) {
            const bool on = samples[first].level > divide;
            std::size_t end = first + 1;
            while (end < samples.size() && (samples[end].level > divide) == on)
                ++end;
            const auto [from, to] = within(first, end, alike);
            for (std::size_t i = from; i < to; ++i) {
                m_inside[i] = on ? 2 : 1;
                (on ? lit : dark).push_back(samples[i].level);
            }
            first = end;
        }
        m_all.dark = dark.size() >= fewestInBlocks ? quantile(dark, 0.5) : quantile(all, 0.05);
        m_all.lit = lit.size() >= fewestInBlocks ? quantile(lit, 0.5) : quantile(all, 0.95);
        for (std::size_t block = 0; block * blockFrames < samples.size(); ++block)
            m_blocks.push_back(around(block));
    }

    const States& all() const { return m_all; }
    const States& at(std::size_t i) const { return m_blocks[i / blockFrames]; }

    /// Standard deviation of levels that lie amid others of their state; far strays count more than in a median.
    double noise() const
    {
        std::vector<double> strays;
        for (std::size_t i = 0; i < m_samples.size(); ++i)
            if (m_inside[i])
                strays.push_back(std::abs(m_samples[i].level - (m_inside[i] == 2 ? at(i).lit : at(i).dark)));
        if (strays.size() < fewestLevels)
            return 0;
        return std::max(quantile(strays, 0.5) / 0.6745, quantile(strays, 0.97) / 2.17);
    }

private:
    /// Of the samples [first, end) in one state those that don't show the picture in which the state changed: it may be
    /// half lit, and stored several times over.
    std::pair<std::size_t, std::size_t> within(std::size_t first, std::size_t end, double alike) const
    {
        const auto same = [&](std::size_t a, std::size_t b) {
            return std::abs(m_samples[a].level - m_samples[b].level) <= alike;
        };
        std::size_t from = first, to = end;
        if (first > 0) {
            std::size_t stretch = 1;
            while (first + stretch < end && stretch <= mostAlike && same(first, first + stretch))
                ++stretch;
            from = first + (stretch <= mostAlike && first + stretch < end ? stretch : 1);
        }
        if (end < m_samples.size()) {
            std::size_t stretch = 1;
            while (end > first + stretch && stretch <= mostAlike && same(end - 1, end - 1 - stretch))
                ++stretch;
            to = end - (stretch <= mostAlike && end > first + stretch ? stretch : 1);
        }
        return {from, std::max(from, to)};
    }

    States around(std::size_t block) const
    {
        std::vector<double> dark, lit;
        const std::size_t from = block == 0 ? 0 : (block - 1) * blockFrames;
        const std::size_t to = std::min(m_samples.size(), (block + 2) * blockFrames);
        for (std::size_t i = from; i < to; ++i)
            if (m_inside[i])
                (m_inside[i] == 2 ? lit : dark).push_back(m_samples[i].level);
        return {dark.size() >= fewestInBlocks ? quantile(dark, 0.5) : m_all.dark,
                lit.size() >= fewestInBlocks ? quantile(lit, 0.5) : m_all.lit};
    }

    const std::vector<Sample>& m_samples;
    std::vector<char> m_inside; ///< 1 dark, 2 lit: amid others of that state; else 0
    States m_all;
    std::vector<States> m_blocks;
};

} // namespace

LampTrace findLampEdges(const std::vector<double>& levels)
{
    LampTrace found;
    std::vector<Sample> samples;
    for (std::size_t k = 0; k < levels.size(); ++k)
        if (std::isfinite(levels[k]))
            samples.push_back({static_cast<std::int64_t>(k), levels[k]});
    if (samples.size() < fewestLevels) {
        found.problem =
            "The trace has " + std::to_string(samples.size()) + " readable frames, too few to find a lamp in.";
        return found;
    }
    const Levels states(samples, dividingLevel(samples));
    found.dark = states.all().dark;
    found.lit = states.all().lit;
    found.noise = states.noise();
    const double change = found.lit - found.dark;
    if (!(change >= leastChange) || change < leastSeparation * found.noise) {
        found.problem =
            "No light that clearly goes on and off shows in this region; put the region tightly around the lamp.";
        return found;
    }

    // Part of the change that each sample shows, and the noise in the same unit.
    std::vector<double> part(samples.size()), noise(samples.size());
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const States& here = states.at(i);
        const double apart = std::max(here.lit - here.dark, change / 4);
        part[i] = (samples[i].level - here.dark) / apart;
        noise[i] = noiseReach * found.noise / apart;
    }
    bool on = part[0] > 0.5;
    std::size_t last = 0; ///< latest sample on the old state's side of the half
    for (std::size_t i = 0; i < samples.size(); ++i) {
        if ((part[i] > 0.5) == on) {
            last = i;
            continue;
        }
        if (on ? part[i] > 0.5 - hysteresis : part[i] < 0.5 + hysteresis) {
            // Half lit: it is decided by a later frame whether the state was left here.
            continue;
        }
        const std::size_t first = last + 1;
        on = !on;
        LampEdge edge{{samples[last].frame}, {samples[first].frame}, on ? EdgeKind::On : EdgeKind::Off, 0, 0, 1};
        const auto shown = [&](std::size_t k) { return on ? part[k] : 1 - part[k]; };
        edge.early = std::clamp(longestRamp * (shown(last) + noise[last] - 0.5), 0.0, mostDoubt);
        edge.late = std::clamp(longestRamp * (0.5 + noise[first] - shown(first)), 0.0, mostDoubt);
        edge.confidence = 1 - std::min(1.0, std::max(edge.early, edge.late));
        found.edges.push_back(edge);
        last = i;
    }
    if (found.edges.empty())
        found.problem = "The light in this region never changes state.";
    return found;
}

} // namespace timing
