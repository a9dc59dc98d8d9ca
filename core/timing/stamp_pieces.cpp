#include "core/timing/stamp_pieces.h"
#include "core/timing/step_limits.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <utility>

namespace timing {
namespace {

/// Ticks that a step of rounded stamps may lie off the mean; stamps rounded twice reach it.
constexpr double roundingReach = 1.5;
/// Steps scatter by no more than so many times their usual change from one to the next.
constexpr double scatterReach = 5;
constexpr double sameShare = 0.02;

/// Steps `from` to `to` - 1 keep one step; step k leads from frame k - 1 to frame k.
struct Steady {
    std::size_t from = 0, to = 0;
};

class Finder {
public:
    /// steps[0] means nothing; a step at a frame without stamp isn't finite.
    explicit Finder(std::vector<double> steps) : m_steps(std::move(steps))
    {
        std::vector<double> changes;
        for (std::size_t k = 2; k < m_steps.size(); ++k)
            if (const double change = std::abs(m_steps[k] - m_steps[k - 1]); std::isfinite(change))
                changes.push_back(change);
        m_scatter = changes.empty() ? 0 : middleOf(std::move(changes));
    }

    std::vector<Steady> run() const
    {
        std::vector<Steady> found;
        for (std::size_t k = 1; k + ownRate <= m_steps.size();) {
            if (!beginsSteadily(k)) {
                ++k;
                continue;
            }
            const Steady steady = grown(k, found.empty() ? 1 : found.back().to);
            found.push_back(steady);
            k = steady.to;
        }
        return found;
    }

private:
    double reach(double step) const
    {
        const double measured = std::min(scatterReach * m_scatter, measuredReach * step);
        return std::max(roundingReach, measured);
    }
    bool near(double step, double nominal) const { return std::abs(step - nominal) <= reach(nominal); }

    /// Several lost frames make a step of a whole number of nominal ones.
    bool nearMultiple(double step, double nominal) const
    {
        const double count = std::round(step / nominal);
        return count >= 2 && near(step, count * nominal);
    }

    bool beginsSteadily(std::size_t k) const
    {
        const std::vector<double> window(m_steps.begin() + k, m_steps.begin() + k + ownRate);
        if (!std::ranges::all_of(window, [](double s) { return std::isfinite(s); }))
            return false;
        const double nominal = middleOf(window);
        return nominal > 0 && std::ranges::all_of(window, [&](double s) { return near(s, nominal); });
    }

    /// On from `k` as far as the step is kept, and back over single lost frames right before it, not before `earliest`.
    Steady grown(std::size_t k, std::size_t earliest) const
    {
        double sum = 0, count = 0;
        std::size_t strays = 0, end = k;
        for (std::size_t i = k; i < m_steps.size() && strays < ownRate; ++i) {
            if (count >= 1 && !near(m_steps[i], sum / count)) {
                ++strays;
                continue;
            }
            strays = 0;
            sum += m_steps[i];
            ++count;
            end = i + 1;
        }
        std::size_t begin = k;
        while (begin > earliest
               && (near(m_steps[begin - 1], sum / count) || nearMultiple(m_steps[begin - 1], sum / count)))
            --begin;
        return {begin, end};
    }

    std::vector<double> m_steps;
    double m_scatter = 0; ///< ticks
};

std::vector<double> stepsInTicks(const Stamps& stamps, const Rational& tick)
{
    const auto ticks = [&](const Rational& r) {
        return static_cast<long double>(r.numerator()) / static_cast<long double>(r.denominator())
               * static_cast<long double>(tick.denominator()) / static_cast<long double>(tick.numerator());
    };
    std::vector<double> steps(stamps.size(), std::numeric_limits<double>::quiet_NaN());
    for (std::size_t k = 1; k < stamps.size(); ++k)
        if (stamps[k] && stamps[k - 1])
            steps[k] = static_cast<double>(ticks(*stamps[k]) - ticks(*stamps[k - 1]));
    return steps;
}

void shift(StampPattern& pattern, FrameCount by)
{
    for (Gap& gap : pattern.gaps)
        gap.before = gap.before + by;
    for (std::vector<FrameNumber>* frames : {&pattern.unclear, &pattern.repeats, &pattern.backward, &pattern.unstamped})
        for (FrameNumber& frame : *frames)
            frame = frame + by;
}

StampPiece pieceOf(const Stamps& stamps, const Rational& tick, std::size_t first, std::size_t end, bool steady)
{
    StampPiece piece{{static_cast<std::int64_t>(first)}, {static_cast<std::int64_t>(end) - 1}, {}, 1};
    const Stamps own(stamps.begin() + first, stamps.begin() + end);
    piece.pattern = stampPattern(own, tick);
    if (!steady) { // a straight stretch of three frames within a change of speed is no rate
        piece.pattern.irregular = true;
        piece.pattern.step.reset();
        piece.pattern.exactStep.reset();
        piece.pattern.gapsKnown = false;
        piece.pattern.gaps.clear();
        piece.pattern.unclear.clear();
    }
    shift(piece.pattern, {static_cast<std::int64_t>(first)});
    return piece;
}

} // namespace

std::vector<StampPiece> stampPieces(const Stamps& stamps, const Rational& tick)
{
    assert(tick.numerator() > 0);
    if (stamps.size() <= 2 * ownRate || !stampPattern(stamps, tick).irregular)
        return {};
    const std::vector<Steady> steady = Finder(stepsInTicks(stamps, tick)).run();
    std::size_t held = 0;
    for (const Steady& each : steady)
        held += each.to - each.from;
    if (steady.size() < 2 || 2 * held < stamps.size())
        return {};
    std::vector<StampPiece> pieces;
    std::size_t next = 0; // first frame that belongs to no piece yet
    for (const Steady& each : steady) {
        const std::size_t first = std::max(next, each.from - 1);
        if (first > next)
            pieces.push_back(pieceOf(stamps, tick, next, first, false));
        pieces.push_back(pieceOf(stamps, tick, first, each.to, true));
        next = each.to;
    }
    if (next < stamps.size())
        pieces.push_back(pieceOf(stamps, tick, next, stamps.size(), false));
    return pieces;
}

bool varyAsRealTimes(const std::vector<StampPiece>& pieces)
{
    return !pieces.empty() && std::ranges::all_of(pieces, [](const StampPiece& piece) {
        return piece.pattern.variesAsRealTimes || !piece.pattern.step;
    });
}

std::optional<RateEvidence> realTimeEvidence(const Stamps& stamps)
{
    const auto stamped = [](const std::optional<Rational>& stamp) { return stamp.has_value(); };
    const auto first = std::ranges::find_if(stamps, stamped);
    const auto last = std::find_if(stamps.rbegin(), stamps.rend(), stamped);
    if (first == stamps.end() || last.base() - first < 2)
        return std::nullopt;
    const double seconds = (*last)->toDouble() - (*first)->toDouble();
    if (!(seconds > 0))
        return std::nullopt;
    RateEvidence evidence;
    evidence.origin = Origin::Stamps;
    evidence.rate = static_cast<double>(last.base() - first - 1) / seconds;
    evidence.relativeUncertainty = deviceClockUncertainty;
    evidence.note =
        "mean rate of stamps that are taken as the times of their frames; the rate changes along the capture";
    return evidence;
}

bool sameStep(double a, double b) { return a > 0 && b > 0 && std::abs(a - b) <= sameShare * std::min(a, b); }

} // namespace timing
