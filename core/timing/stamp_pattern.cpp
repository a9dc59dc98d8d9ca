#include "core/timing/stamp_pattern.h"
#include "core/timing/step_limits.h"
#include "core/timing/slope_bounds.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <set>

namespace timing {
namespace {

/// Below this many ticks a step, rounding is as large as what a lost frame adds, and only the run of many stamps tells.
constexpr double coarseTicks = 3;
/// Half the width, in ticks, that a rounded stamp may lie off its line. Coarse ticks leave no room for doubt: just
/// under half a tick, which rounding never reaches at both ends. Fine ones allow for stamps rounded twice.
constexpr double coarseReach = 0.5 - 5e-7;
constexpr double fineReach = 0.75;
/// Below this many ticks a step, lost frames often hide in the rounding.
constexpr double gapTicks = 0.6;
/// Rates in use make stamps of about one tick beat within some 24 frames (960 a second in ms); an uneven step rarer
/// than this is a lost frame. Common practice, no source.
constexpr double longestBeat = 64;
/// Where more of the steps aren't one nominal step, there is none.
constexpr double mostOdd = 0.2;
/// Where more stamps leave the line for one frame, it isn't rounding that moves them.
constexpr double mostGlitches = 0.05;

struct Stamp {
    std::int64_t frame = 0;
    double ticks = 0; ///< since the first stamp
};

/// What a pass along the stamps found.
struct Found {
    double step = 0; ///< ticks
    double relativeUncertainty = 0;
    std::vector<Gap> gaps;
    std::vector<FrameNumber> unclear;
    std::int64_t glitches = 0;
    bool ramp = false;
};

std::vector<Stamp> inTicks(const Stamps& stamps, const Rational& tick)
{
    const auto exact = [](const Rational& r) {
        return static_cast<long double>(r.numerator()) / static_cast<long double>(r.denominator());
    };
    std::vector<Stamp> list;
    long double first = 0;
    for (std::size_t k = 0; k < stamps.size(); ++k) {
        if (!stamps[k])
            continue;
        const long double ticks = exact(*stamps[k]) / exact(tick);
        if (list.empty())
            first = ticks;
        list.push_back({static_cast<std::int64_t>(k), static_cast<double>(ticks - first)});
    }
    return list;
}

/// Ticks from each stamp to the next, where the two are neighbouring frames.
std::vector<double> neighbourSteps(const std::vector<Stamp>& list)
{
    std::vector<double> steps;
    for (std::size_t i = 1; i < list.size(); ++i)
        if (list[i].frame == list[i - 1].frame + 1)
            steps.push_back(list[i].ticks - list[i - 1].ticks);
    return steps;
}

/// Straight stretches of stamps: the slope of the longest, in frames, and how many there are.
struct Stretches {
    double lowest = 0, highest = 0;
    std::size_t longest = 0; ///< stamps
    std::size_t count = 0;
};

Stretches straightStretches(const std::vector<Stamp>& list, double reach)
{
    Stretches result;
    for (std::size_t i = 0; i < list.size();) {
        SlopeBounds bounds;
        std::size_t end = i;
        while (end < list.size()
               && bounds.add(static_cast<double>(list[end].frame - list[i].frame), list[end].ticks - reach,
                             list[end].ticks + reach))
            ++end;
        if (end - i > result.longest) {
            result.longest = end - i;
            result.lowest = bounds.lowest();
            result.highest = bounds.highest();
        }
        ++result.count;
        i = end;
    }
    return result;
}

/// Follows stamps that rounding alone moves, with a step known to lie between `lowest` and `highest`.
class Follower {
public:
    Follower(const std::vector<Stamp>& list, double lowest, double highest, double reach)
        : m_list(list), m_lowest(lowest), m_highest(highest), m_step((lowest + highest) / 2), m_reach(reach)
    {
        restart(0);
    }

    Found run()
    {
        const auto most = static_cast<std::size_t>(mostOdd * static_cast<double>(m_list.size())) + 1;
        std::size_t odd = 0;
        int oddInARow = 0;
        for (std::size_t i = 1; i < m_list.size() && odd <= most; ++i) {
            if (add(m_bounds, i, 0)) {
                use(i);
                oddInARow = 0;
                continue;
            }
            ++odd;
            m_found.ramp = m_found.ramp || ++oddInARow >= static_cast<int>(ownRate);
            leaveLine(i);
        }
        m_found.ramp = m_found.ramp || odd > most;
        refine();
        return m_found;
    }

private:
    /// One way to read a stamp off the line: `count` frames lost before stamp `start`, at or before it.
    struct Reading {
        std::int64_t count = 0;
        std::size_t start = 0;
        std::size_t held =
            0; ///< stamps from the one off the line on that lie on the line again; 0 when this doesn't explain it
        SlopeBounds bounds; ///< with all stamps up to the one off the line
    };

    double place(std::size_t i) const { return static_cast<double>(m_list[i].frame + m_missing); }
    double offset(std::size_t i) const { return m_list[i].ticks - m_step * place(i); }

    bool add(SlopeBounds& bounds, std::size_t i, std::int64_t more) const
    {
        return bounds.add(place(i) + static_cast<double>(more), m_list[i].ticks - m_reach, m_list[i].ticks + m_reach);
    }

    void use(std::size_t i)
    {
        m_lowOffset = std::min(m_lowOffset, offset(i));
        m_highOffset = std::max(m_highOffset, offset(i));
        m_used.push_back({m_list[i].frame + m_missing, m_list[i].ticks});
    }

    void restart(std::size_t i)
    {
        m_bounds = SlopeBounds(m_lowest, m_highest);
        add(m_bounds, i, 0);
        m_start = i;
        m_lowOffset = m_highOffset = offset(i);
        use(i);
    }

    void leaveLine(std::size_t i)
    {
        const double shift = offset(i) - (m_lowOffset + m_highOffset) / 2;
        const double count = std::round(shift / m_step);
        Reading best;
        for (const double candidate : {count - 1, count, count + 1}) {
            if (candidate < 1 || candidate > mostLost)
                continue;
            Reading reading = bridged(i, static_cast<std::int64_t>(candidate));
            if (reading.held > best.held)
                best = std::move(reading);
        }
        SlopeBounds skipping = m_bounds;
        if (held(skipping, i + 1, 0) > best.held) {
            ++m_found.glitches; // back on the line at once: this one stamp is off, nothing is missing
            return;
        }
        if (best.held == 0) {
            m_found.unclear.push_back({m_list[i].frame});
            m_whole = false;
            restart(i);
            return;
        }
        m_found.gaps.push_back({{m_list[best.start].frame}, {best.count}});
        m_used.resize(m_used.size() - std::min(i - best.start, m_used.size()));
        m_missing += best.count;
        m_bounds = best.bounds;
        m_lowOffset = m_highOffset = offset(i);
        m_start = best.start;
        for (std::size_t k = best.start; k <= i; ++k)
            use(k);
    }

    /// How many stamps from `i` on fit, `more` frames lost before them, as far as it is worth looking.
    std::size_t held(SlopeBounds& bounds, std::size_t i, std::int64_t more) const
    {
        const std::size_t end = std::min(i + lookAhead, m_list.size());
        std::size_t k = i;
        while (k < end && add(bounds, k, more))
            ++k;
        return k - i;
    }

    Reading bridged(std::size_t i, std::int64_t count) const
    {
        if (m_step >= coarseTicks)
            return bridgedAt(i, i, count);
        // With coarse ticks the break shows only some frames after the gap. Of all places that explain it: the longest
        // step, the latest of equals.
        std::vector<std::size_t> places;
        for (std::size_t k = i; k > m_start && i - k < lookAhead; --k)
            if (step(k) > m_step * static_cast<double>(count + 1) - 1)
                places.push_back(k);
        std::stable_sort(places.begin(), places.end(),
                         [this](std::size_t a, std::size_t b) { return step(a) > step(b); });
        Reading best;
        for (const std::size_t k : places) {
            Reading reading = bridgedAt(k, i, count);
            if (reading.held > best.held)
                best = std::move(reading);
            if (best.held >= std::min(lookAhead, m_list.size() - i))
                break;
        }
        return best;
    }

    double step(std::size_t i) const { return m_list[i].ticks - m_list[i - 1].ticks; }

    Reading bridgedAt(std::size_t start, std::size_t i, std::int64_t count) const
    {
        Reading reading{count, start, 0, start == i ? m_bounds : SlopeBounds(m_lowest, m_highest)};
        if (start < i) {
            // The line so far holds stamps that belong behind the gap, so it is drawn again without them.
            for (std::size_t k = std::max(m_start, start - std::min(start, lookBack)); k < start; ++k)
                add(reading.bounds, k, 0);
            for (std::size_t k = start; k < i; ++k)
                if (!add(reading.bounds, k, count))
                    return reading;
        }
        if (!add(reading.bounds, i, count))
            return reading;
        SlopeBounds ahead = reading.bounds;
        reading.held = 1 + held(ahead, i + 1, count);
        return reading;
    }

    /// With every gap counted in, all stamps lie on one line again, which gives the step better than any stretch.
    void refine()
    {
        SlopeBounds all;
        bool straight = m_whole;
        for (std::size_t i = 0; i < m_used.size() && straight; ++i)
            straight =
                all.add(static_cast<double>(m_used[i].frame), m_used[i].ticks - m_reach, m_used[i].ticks + m_reach);
        const double lowest = straight ? all.lowest() : m_lowest;
        const double highest = straight ? all.highest() : m_highest;
        m_found.step = (lowest + highest) / 2;
        m_found.relativeUncertainty = (highest - lowest) / 2 / std::sqrt(3.0) / m_found.step;
    }

    static constexpr std::size_t lookAhead = 64;
    static constexpr std::size_t lookBack = 256;
    static constexpr double mostLost = 1e12; // beyond it a stamp is senseless, not late

    const std::vector<Stamp>& m_list;
    double m_lowest, m_highest, m_step, m_reach;
    SlopeBounds m_bounds;
    std::size_t m_start = 0;
    double m_lowOffset = 0, m_highOffset = 0;
    std::int64_t m_missing = 0;
    bool m_whole = true;
    std::vector<Stamp> m_used; ///< by place with missing frames counted in
    Found m_found;
};

/// A long-run step of stamps that scatter by more than rounding, and the gaps among them.
class Measured {
public:
    explicit Measured(const std::vector<Stamp>& list) : m_list(list) {}

    /// Empty when too many steps are no whole number of any one step.
    std::optional<Found> run()
    {
        const std::vector<double> steps = neighbourSteps(m_list);
        m_step = middleOf(steps);
        if (m_step < coarseTicks)
            return std::nullopt;
        for (int pass = 0; pass < 4; ++pass) // settles after one or two: only the counts of odd steps can change
            m_step = longRunStep(steps);
        Found found;
        found.step = m_step;
        std::int64_t odd = 0;
        int oddInARow = 0;
        double squares = 0;
        for (const double step : steps) {
            const double count = std::round(step / m_step);
            const bool nominal = count == 1 && std::abs(step - m_step) <= measuredReach * m_step;
            squares += nominal ? (step - m_step) * (step - m_step) : 0;
            odd += nominal ? 0 : 1;
            oddInARow = nominal ? 0 : oddInARow + 1;
            found.ramp = found.ramp || oddInARow >= static_cast<int>(ownRate);
            m_beyondRounding += std::abs(step - count * m_step) > 2 * fineReach ? 1 : 0;
        }
        const auto n = static_cast<double>(steps.size());
        if (found.ramp || static_cast<double>(odd) > mostOdd * n)
            return std::nullopt;
        // As if steps strayed independently: stamps that are only read late do better, drifting clocks don't do worse.
        found.relativeUncertainty = std::sqrt(squares / n) / m_step / std::sqrt(n);
        for (std::size_t i = 1; i < m_list.size(); ++i)
            judge(i, found);
        return found;
    }

    bool beyondRounding() const
    {
        return static_cast<double>(m_beyondRounding) > mostGlitches * static_cast<double>(m_list.size());
    }

private:
    double longRunStep(const std::vector<double>& steps) const
    {
        double sum = 0, counts = 0;
        for (const double step : steps) {
            const double count = std::round(step / m_step);
            if (count < 1 || std::abs(step - count * m_step) > measuredReach * m_step)
                continue;
            sum += step;
            counts += count;
        }
        return counts > 0 ? sum / counts : m_step;
    }

    /// Whole steps lacking from stamp `a` to `b`, not rounded.
    double lacking(std::size_t a, std::size_t b) const
    {
        return (m_list[b].ticks - m_list[a].ticks) / m_step - static_cast<double>(m_list[b].frame - m_list[a].frame);
    }

    /// A late stamp makes a long step and a short one after it; a lost frame lengthens the way across its neighbours as
    /// well.
    void judge(std::size_t i, Found& found) const
    {
        const double here = lacking(i - 1, i);
        const std::size_t from = i >= 2 ? i - 2 : i - 1;
        const std::size_t to = std::min(i + 1, m_list.size() - 1);
        const double count = std::min(std::round(here), std::round(lacking(from, to)));
        if (count < 1)
            return;
        if (std::abs(here - std::round(here)) > measuredReach)
            found.unclear.push_back({m_list[i].frame});
        else
            found.gaps.push_back({{m_list[i].frame}, {static_cast<std::int64_t>(count)}});
    }

    const std::vector<Stamp>& m_list;
    double m_step = 0;
    std::int64_t m_beyondRounding = 0;
};

/// Whether rounding alone explains the stamps, and what is then found.
std::optional<Found> followRounded(const std::vector<Stamp>& list, bool coarse)
{
    const double reach = coarse ? coarseReach : fineReach;
    const Stretches stretches = straightStretches(list, reach);
    const auto n = static_cast<double>(list.size());
    if (stretches.longest < 3 || (stretches.count > 1 && n / static_cast<double>(stretches.count) < 6))
        return std::nullopt;
    double lowest = stretches.lowest, highest = stretches.highest;
    if (coarse) {
        const std::vector<double> steps = neighbourSteps(list);
        const auto odd =
            static_cast<double>(std::count_if(steps.begin(), steps.end(), [](double s) { return s != 1; }));
        if (static_cast<double>(steps.size()) >= longestBeat && odd * longestBeat < static_cast<double>(steps.size()))
            lowest = highest = 1;
    }
    if (lowest <= 0)
        return std::nullopt;
    const Found found = Follower(list, lowest, highest, reach).run();
    const auto strays = static_cast<double>(found.glitches) + static_cast<double>(found.unclear.size());
    if (found.ramp || strays > std::max(mostGlitches * n, 1.0)
        || strays + static_cast<double>(found.gaps.size()) > mostOdd * n)
        return std::nullopt;
    return found;
}

/// The one step that all neighbours keep, in whole ticks, leaving out `found`; empty when they differ.
std::optional<std::int64_t> equalSteps(const std::vector<Stamp>& list, const Found& found)
{
    std::set<std::int64_t> leftOut;
    for (const Gap& gap : found.gaps)
        leftOut.insert(gap.before.value);
    for (const FrameNumber k : found.unclear)
        leftOut.insert(k.value);
    std::optional<double> same;
    for (std::size_t i = 1; i < list.size(); ++i) {
        if (list[i].frame != list[i - 1].frame + 1)
            continue;
        const double step = list[i].ticks - list[i - 1].ticks;
        if (same == step || leftOut.contains(list[i].frame))
            continue;
        if (same)
            return std::nullopt;
        same = step;
    }
    if (!same || *same != std::round(*same) || *same < 1 || *same > 1e15)
        return std::nullopt;
    return static_cast<std::int64_t>(*same);
}

} // namespace

StampPattern stampPattern(const Stamps& stamps, const Rational& tick)
{
    assert(tick.numerator() > 0);
    StampPattern pattern;
    pattern.tick = tick.toDouble();
    for (std::size_t k = 0; k < stamps.size(); ++k)
        if (!stamps[k])
            pattern.unstamped.push_back({static_cast<std::int64_t>(k)});
    const std::vector<Stamp> list = inTicks(stamps, tick);
    pattern.stamped = std::ssize(list);
    for (std::size_t i = 1; i < list.size(); ++i) {
        if (list[i].ticks == list[i - 1].ticks)
            pattern.repeats.push_back({list[i].frame});
        else if (list[i].ticks < list[i - 1].ticks)
            pattern.backward.push_back({list[i].frame});
    }
    const std::vector<double> steps = neighbourSteps(list);
    if (steps.size() < 2)
        return pattern;

    const bool coarse = middleOf(steps) < coarseTicks;
    std::optional<Found> found = followRounded(list, coarse);
    if (!found) {
        Measured measured(list);
        found = measured.run();
        pattern.variesAsRealTimes = found && measured.beyondRounding();
    }
    if (!found) {
        pattern.irregular = true;
        return pattern;
    }
    pattern.gapsKnown = found->step >= gapTicks;
    if (pattern.gapsKnown)
        pattern.gaps = found->gaps;
    pattern.unclear = found->unclear;
    pattern.step = found->step * pattern.tick;
    pattern.relativeUncertainty = found->relativeUncertainty;
    const std::optional<std::int64_t> equal = equalSteps(list, *found);
    if (equal && *equal <= INT64_MAX / tick.numerator()) {
        pattern.exactStep = Rational(*equal * tick.numerator(), tick.denominator());
        pattern.step = pattern.exactStep->toDouble();
    }
    return pattern;
}

} // namespace timing
