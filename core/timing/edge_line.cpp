#include "core/timing/edge_line.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace timing {
namespace {

constexpr std::size_t mostBreaks = 12;
constexpr std::size_t mostWrong = 2;     ///< more edges off the line mean that something else is wrong
constexpr std::size_t lookBack = 24;     ///< bars before the one that fails among which a loss may lie
constexpr int mostShift = 64;            ///< frames; more at once is another recording
constexpr std::size_t leastProgress = 4; ///< bars that an explanation has to carry on for
constexpr std::size_t ends = 12;         ///< bars at either end that are looked at for a hidden loss

void take(EdgeBar& bar, double by)
{
    bar.low += by;
    bar.high += by;
    bar.place += by;
}

/// How far off the line through the bars before it bar `i` lies, in whole frames.
int shiftAt(const std::vector<EdgeBar>& bars, std::size_t i, const SlopeRange& slopes)
{
    const double b = (slopes.lowest + slopes.highest) / 2;
    double sum = 0, count = 0;
    for (std::size_t k = i > 2 * lookBack ? i - 2 * lookBack : 0; k < i; ++k)
        if (bars[k].group == bars[i].group) {
            sum += bars[k].place - b * bars[k].n;
            ++count;
        }
    const double off = count > 0 ? sum / count + b * bars[i].n - bars[i].place : 0;
    return static_cast<int>(std::lround(std::clamp(off, -1.0 * mostShift, 1.0 * mostShift)));
}

struct Explanation {
    std::size_t from = 0;
    int by = 0; ///< 0: bar `from` is wrong
    std::size_t held = 0;
};

Explanation explain(const std::vector<EdgeBar>& bars, const Passage& passed)
{
    const std::size_t i = passed.held;
    Explanation best;
    const auto consider = [&](const Explanation& other) {
        if (other.held > best.held)
            best = other;
    };
    for (const std::size_t k : {i, i - 1, std::size_t{0}, std::size_t{1}})
        if (k <= i)
            consider({k, 0, passage(bars, {}, k).held});
    const int guess = shiftAt(bars, i, passed.slopes);
    const std::size_t first = i > lookBack ? i - lookBack : 1;
    for (const int by : {guess, guess + 1, guess - 1, 1, -1})
        for (std::size_t from = i; by != 0 && from >= first && from > 0; --from)
            consider({from, by, passage(bars, {{from, by}}).held});
    return best;
}

SlopeRange united(const SlopeRange& a, const SlopeRange& b)
{
    return {std::min(a.lowest, b.lowest), std::max(a.highest, b.highest)};
}

/// Bars before which a fault is looked for: all of few; of many those near the ends and a share of the rest, because
/// what can hide far from the ends hides over a long stretch.
std::vector<std::size_t> places(std::size_t count)
{
    const std::size_t step = std::max<std::size_t>(1, count / 100);
    std::vector<std::size_t> list;
    for (std::size_t i = 1; i < count; ++i)
        if (i <= ends || i + ends >= count || i % step == 0)
            list.push_back(i);
    return list;
}

/// One break or one wrong bar that explains everything, wherever it may lie; not complete when none does.
Repair byOneFault(const std::vector<EdgeBar>& bars, const Passage& passed)
{
    Repair repair;
    const auto consider = [&](const Passage& other) {
        if (!other.isWhole(bars))
            return false;
        repair.slopes = repair.complete ? united(repair.slopes, other.slopes) : other.slopes;
        repair.complete = true;
        return true;
    };
    std::optional<std::size_t> wrong;
    for (std::size_t i = passed.held > lookBack ? passed.held - lookBack : 0; i <= passed.held; ++i)
        if (consider(passage(bars, {}, i)))
            wrong = i;
    for (const std::size_t i : {std::size_t{0}, std::size_t{1}})
        if (!wrong && consider(passage(bars, {}, i)))
            wrong = i;
    std::vector<Shift> breaks;
    for (const int by : {1, -1, 2, -2, 3, -3, 4, -4})
        for (const std::size_t i : places(bars.size()))
            if (consider(passage(bars, {{i, by}})))
                breaks.push_back({i, by});
    repair.bars = bars;
    if (wrong) {
        repair.wrong.push_back(bars[*wrong]);
        repair.bars.erase(repair.bars.begin() + *wrong);
    } else if (!breaks.empty()) {
        // The fewest frames; of all places where so many may lie, the middle one.
        std::erase_if(breaks, [by = breaks.front().by](const Shift& s) { return s.by != by; });
        const Shift& middle = breaks[breaks.size() / 2];
        repair.breaks.push_back({bars[middle.from].edge, middle.by});
        for (std::size_t k = middle.from; k < bars.size(); ++k)
            take(repair.bars[k], middle.by);
    }
    return repair;
}

/// Slopes that every piece between breaks allows by itself, so that neither the number of frames lost nor the exact
/// place of a break matters: bars next to one are left out.
SlopeRange withinPieces(const std::vector<EdgeBar>& bars, std::vector<std::size_t> starts)
{
    constexpr std::size_t beside = 3;
    std::ranges::sort(starts);
    starts.push_back(bars.size());
    SlopeRange all{0, std::numeric_limits<double>::infinity()};
    std::size_t from = 0;
    for (const std::size_t end : starts) {
        const std::size_t to = end == bars.size() ? end : end - std::min(end, beside);
        if (from < to) {
            const Passage piece = passage({bars.begin() + from, bars.begin() + to});
            all = {std::max(all.lowest, piece.slopes.lowest), std::min(all.highest, piece.slopes.highest)};
        }
        from = std::max(from, end + beside);
    }
    return all;
}

} // namespace

Passage passage(const std::vector<EdgeBar>& bars, const std::vector<Shift>& shifts, std::optional<std::size_t> without)
{
    std::array<SlopeBounds, 2> bounds{SlopeBounds(0), SlopeBounds(0)};
    Passage result;
    for (std::size_t i = 0; i < bars.size(); ++i) {
        if (without == i) {
            ++result.held;
            continue;
        }
        double by = 0;
        for (const Shift& shift : shifts)
            by += i >= shift.from ? shift.by : 0;
        SlopeBounds& own = bounds[bars[i].group];
        if (!own.add(bars[i].n, bars[i].low + by, bars[i].high + by))
            break;
        const SlopeRange both{std::max(bounds[0].lowest(), bounds[1].lowest()),
                              std::min(bounds[0].highest(), bounds[1].highest())};
        if (both.lowest > both.highest)
            break;
        result.slopes = both;
        ++result.held;
    }
    return result;
}

SlopeRange widenedByOneFault(const std::vector<EdgeBar>& bars, const SlopeRange& plain)
{
    SlopeRange all = plain;
    const auto consider = [&](const Passage& passed) {
        if (passed.isWhole(bars))
            all = united(all, passed.slopes);
    };
    for (const std::size_t i : places(bars.size()))
        for (const int by : {1, -1})
            consider(passage(bars, {{i, by}}));
    consider(passage(bars, {}, 0));
    consider(passage(bars, {}, bars.size() - 1));
    return all;
}

Repair repaired(const std::vector<EdgeBar>& bars)
{
    if (Repair simple = byOneFault(bars, passage(bars)); simple.complete)
        return simple;
    Repair repair;
    repair.bars = bars;
    std::vector<std::size_t> starts; ///< places in repair.bars of faults
    while (true) {
        const Passage passed = passage(repair.bars);
        repair.slopes = passed.slopes;
        if (passed.isWhole(repair.bars)) {
            repair.complete = true;
            break;
        }
        if (repair.breaks.size() + repair.wrong.size() >= std::clamp<std::size_t>(bars.size() / 25, 3, mostBreaks))
            return repair;
        const Explanation found = explain(repair.bars, passed);
        const bool toTheEnd = found.held == repair.bars.size();
        if (found.held < passed.held + leastProgress && !toTheEnd)
            return repair;
        if (found.by == 0) {
            repair.wrong.push_back(repair.bars[found.from]);
            repair.bars.erase(repair.bars.begin() + found.from);
            for (std::size_t& start : starts)
                start -= start > found.from ? 1 : 0;
            starts.push_back(found.from); // what looks like a wrong edge may hide a break
            continue;
        }
        repair.breaks.push_back({repair.bars[found.from].edge, found.by});
        starts.push_back(found.from);
        for (std::size_t k = found.from; k < repair.bars.size(); ++k)
            take(repair.bars[k], found.by);
    }
    const auto lost = std::ranges::count_if(repair.breaks, [](const Repair::Break& b) { return b.by > 0; });
    // Frames lost and frames added in one capture: more likely an explanation that fits by chance.
    if (repair.wrong.size() > mostWrong || (lost > 0 && lost < std::ssize(repair.breaks))) {
        repair.complete = false;
        return repair;
    }
    repair.slopes = withinPieces(repair.bars, starts);
    return repair;
}

} // namespace timing
