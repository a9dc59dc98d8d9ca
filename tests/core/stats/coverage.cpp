#include "coverage.h"
#include "core/stats/blocks.h"
#include "core/stats/comparison.h"
#include "core/stats/distributions.h"
#include "core/stats/dunnett.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <span>
#include <vector>

namespace coverage {
namespace {

constexpr double clockU = 0.001;
constexpr double apart = 1.5;      ///< seconds between presses, on the average
constexpr double groupStepMs = 12; ///< of the two modes
constexpr double marginMs = 4;

/// What films, and what is filmed.
class Bench {
public:
    Bench(double camera, double refresh, Shape shape, std::uint64_t seed)
        : m_camera(camera), m_refresh(refresh), m_shape(shape), m_random(seed)
    {}

    double chance() { return m_normal(m_random); }
    int among(int most) { return std::uniform_int_distribution<int>(1, most)(m_random); }
    /// The camera's true rate from now on.
    void setClock(double relativeError) { m_clockError = 1 + relativeError; }

    /// Adds a run, a capture of its own, whose inner delay is `shiftMs` longer than usual.
    void film(std::vector<stats::Observation>& trials, double shiftMs, int count, int block, int clock)
    {
        ++m_capture;
        const double interval = 1 / (m_camera * m_clockError); // seconds, as the camera truly runs
        const double stated = 1000 / m_camera;
        const double cameraPhase = m_unit(m_random) * interval, refreshPhase = m_unit(m_random) / m_refresh;
        double press = 0;
        for (int t = 0; t < count; ++t) {
            press += apart * (0.5 + m_unit(m_random));
            const double ready = press + (shiftMs + inner()) / 1000;
            const double shown = refreshPhase + std::ceil((ready - refreshPhase) * m_refresh) / m_refresh;
            const auto frame = [&](double time) { return std::ceil((time - cameraPhase) / interval); };
            const double delay = (frame(shown) - frame(press)) * stated;
            // Nothing of the beat is measured: phase stays in the budget.
            trials.push_back({delay, stated, stated, m_capture, m_capture, false, {{clock, delay}}, block});
        }
    }

    /// Mean of what film() without a shift measures: inner delay and half a refresh interval of waiting.
    double truth() const
    {
        const double waiting = 500 / m_refresh;
        return base + waiting + (m_shape == Shape::TwoModes ? 0.3 * groupStepMs : 0);
    }

private:
    double inner()
    {
        switch (m_shape) {
        case Shape::Smooth: return base + 2 * m_normal(m_random);
        case Shape::Skewed: return base - 4 + 2 * m_gamma(m_random); // mean 4, SD 2.8, skewness 1.4
        case Shape::TwoModes: return base + 0.5 * m_normal(m_random) + (m_unit(m_random) < 0.3 ? groupStepMs : 0);
        }
        return base;
    }

    static constexpr double base = 40;
    double m_camera, m_refresh;
    Shape m_shape;
    std::mt19937_64 m_random;
    std::normal_distribution<double> m_normal;
    std::gamma_distribution<double> m_gamma{2, 1};
    std::uniform_real_distribution<double> m_unit;
    double m_clockError = 1;
    int m_capture = 0;
};

bool holds(const stats::Expanded& interval, double truth)
{
    return interval.low() <= truth && truth <= interval.high();
}

} // namespace

const char* name(Shape shape)
{
    switch (shape) {
    case Shape::Smooth: return "smooth";
    case Shape::Skewed: return "skewed";
    case Shape::TwoModes: return "two modes";
    }
    return "";
}

Rates simulate(const Case& c, int sessions, std::uint64_t seed)
{
    Bench bench(c.camera, c.refresh, c.shape, seed);
    const auto take = [&](double shiftMs) {
        std::vector<stats::Observation> trials;
        for (int run = 0; run < c.runs; ++run)
            bench.film(trials, shiftMs + c.runShiftMs * bench.chance(), (c.trials - run + c.runs - 1) / c.runs, 0, 1);
        return trials;
    };
    const std::vector<stats::ErrorSource> sources{{1, "rate", clockU, stats::endlessDof, stats::LineKind::Clock}};
    const stats::ComparisonPlan plan{0.05, 2, std::nullopt, std::nullopt}, withMargin{0.05, 2, marginMs, std::nullopt};
    const auto told = [](const stats::Comparison& comparison) {
        return comparison.interval->low() > 0 || comparison.interval->high() < 0;
    };
    int mean = 0, difference = 0, verdict = 0, same = 0;
    for (int i = 0; i < sessions; ++i) {
        bench.setClock(clockU * bench.chance());
        const auto baseline = take(0), first = take(0), second = take(0), longer = take(marginMs);
        mean += holds(*stats::meanBudget(baseline, sources, 0.95).shown()->interval, bench.truth());
        const std::vector<stats::Side> sides{{first}, {second}};
        const std::vector<stats::Comparison> both = stats::compare(sides, {baseline}, sources, plan);
        difference += holds(*both.front().interval, 0);
        verdict += told(both.front()) || told(both.back());
        // With a margin compare() also works out the effort for it, which takes long: asked only where "same" is
        // possible.
        if (stats::compare(longer, baseline, sources, {plan.alpha / 2, 1, {}, {}}).equivalence->high() < marginMs)
            same += stats::compare(longer, baseline, sources, withMargin).verdict == stats::Verdict::SameWithinMargin;
    }
    const double all = sessions;
    return {mean / all, difference / all, verdict / all, same / all};
}

namespace {

/// Campaigns of one case, one after the other.
class Campaigns {
public:
    Campaigns(const FamilyCase& c, std::uint64_t seed)
        : m_case(c), m_bench(c.camera, c.refresh, c.shape, seed), m_plan{0.05, c.configurations - 1, {}, {}},
          m_before{0.05 / (c.configurations - 1), 1, {}, {}}
    {
        for (int clock = 1; clock <= (c.ownClocks ? c.configurations : 1); ++clock)
            m_sources.push_back({clock, "rate", c.clockU, stats::endlessDof, stats::LineKind::Clock});
    }

    struct Intervals {
        std::vector<stats::Expanded> now, before; ///< of each other configuration
    };
    /// Of a campaign in which configuration i is `longerMs[i]` longer than usual.
    Intervals next(std::span<const double> longerMs)
    {
        std::vector<std::vector<stats::Observation>> all = filmed(longerMs);
        Intervals intervals;
        for (const stats::Comparison& one : compared(all, true, m_plan))
            intervals.now.push_back(*one.interval);
        for (auto& trials : all)
            for (stats::Observation& o : trials)
                o.blockKey = 0;
        for (const stats::Comparison& one : compared(all, false, m_before))
            intervals.before.push_back(*one.interval);
        return intervals;
    }

private:
    std::vector<std::vector<stats::Observation>> filmed(std::span<const double> longerMs)
    {
        const auto runs = static_cast<std::size_t>(m_case.runs);
        std::vector<double> blocks(runs * (m_case.interleaved ? 1 : longerMs.size()));
        for (double& shift : blocks)
            shift = m_case.blockShiftMs * m_bench.chance();
        std::vector<std::vector<stats::Observation>> all(longerMs.size());
        for (std::size_t i = 0; i < all.size(); ++i) {
            if (i == 0 || m_case.ownClocks)
                m_bench.setClock(m_case.clockU * m_bench.chance());
            const bool odd = m_case.oddBaseline ? i == 0 : i + 1 == all.size();
            const double own = odd ? m_case.oneShiftMs : m_case.runShiftMs;
            for (std::size_t j = 0; j < runs; ++j) {
                // Without interleaving a configuration is filmed in a stretch of its own.
                const double block = blocks[j + (m_case.interleaved ? 0 : i * runs)];
                for (int more = 0; more < (m_case.unbalanced && i == 0 && j == 0 ? 2 : 1); ++more)
                    m_bench.film(all[i], longerMs[i] + block + own * m_bench.chance(),
                                 m_case.unbalanced ? m_bench.among(2 * m_case.trialsPerRun - 1) : m_case.trialsPerRun,
                                 m_case.interleaved ? static_cast<int>(j) + 1 : 0,
                                 m_case.ownClocks ? static_cast<int>(i) + 1 : 1);
            }
        }
        return all;
    }

    std::vector<stats::Comparison> compared(const std::vector<std::vector<stats::Observation>>& all, bool blocksOut,
                                            const stats::ComparisonPlan& plan) const
    {
        const std::vector<std::span<const stats::Observation>> spans(all.begin(), all.end());
        const auto variances = stats::variancesWithoutBlocks(spans);
        std::vector<stats::Side> sides;
        for (std::size_t i = 0; i < spans.size(); ++i)
            sides.push_back({spans[i], blocksOut ? variances[i] : std::nullopt});
        return stats::compare(std::span(sides).subspan(1), sides.front(), m_sources, plan);
    }

    FamilyCase m_case;
    Bench m_bench;
    stats::ComparisonPlan m_plan, m_before; ///< Bonferroni's factor is Student's at its share of the risk
    std::vector<stats::ErrorSource> m_sources;
};

double median(std::vector<double> values)
{
    std::ranges::nth_element(values, values.begin() + std::ssize(values) / 2);
    return values[values.size() / 2];
}

double knownFactor(const FamilyCase& c)
{
    return stats::dunnettFactor(0.95, stats::endlessDof, c.configurations - 1, 0.5);
}

/// Share of differences told where each other configuration is 4 ms longer.
Ruled found(const FamilyCase& c, int sessions, std::uint64_t seed)
{
    Campaigns campaigns(c, seed);
    std::vector<double> longer(static_cast<std::size_t>(c.configurations), marginMs);
    longer.front() = 0;
    Ruled told;
    std::vector<double> estimates;
    for (int session = 0; session < sessions; ++session) {
        const auto intervals = campaigns.next(longer);
        const auto above = [](const stats::Expanded& interval) { return interval.low() > 0; };
        told.now += static_cast<double>(std::ranges::count_if(intervals.now, above));
        told.before += static_cast<double>(std::ranges::count_if(intervals.before, above));
        for (const stats::Expanded& interval : intervals.now)
            estimates.push_back(interval.estimateMs);
    }
    const double all = static_cast<double>(sessions) * (c.configurations - 1);
    const double farther = marginMs / stats::standardDeviation(estimates) - knownFactor(c);
    return {told.now / all, told.before / all, 1 - stats::normalTwoSidedP(farther) / 2};
}

} // namespace

FamilyRates simulateFamily(const FamilyCase& c, int sessions, std::uint64_t seed)
{
    Campaigns campaigns(c, seed);
    std::vector<double> steps;
    for (int i = 0; i < c.configurations; ++i)
        steps.push_back(i);
    FamilyRates rates;
    std::vector<double> widths, widthsBefore, errors;
    for (int session = 0; session < sessions; ++session) {
        const auto intervals = campaigns.next(steps);
        const auto heldAll = [&](const std::vector<stats::Expanded>& all, std::vector<double>& halfWidths) {
            bool held = true;
            for (std::size_t i = 0; i < all.size(); ++i) {
                held = held && holds(all[i], steps[i + 1]);
                halfWidths.push_back(all[i].halfWidthMs);
            }
            return held;
        };
        rates.held.now += heldAll(intervals.now, widths);
        rates.held.before += heldAll(intervals.before, widthsBefore);
        for (std::size_t i = 0; i < intervals.now.size(); ++i)
            errors.push_back(intervals.now[i].estimateMs - steps[i + 1]);
    }
    rates.held = {rates.held.now / sessions, rates.held.before / sessions};
    rates.halfWidthMs = {median(widths), median(widthsBefore), knownFactor(c) * stats::standardDeviation(errors)};
    return rates;
}

Ruled trialsNeeded(FamilyCase c, int sessions, std::uint64_t seed)
{
    constexpr double power = 0.8;
    constexpr int mostRuns = 60, fewestTrials = 5; // for an interval
    const int fewestRuns = std::max(4, (fewestTrials + c.trialsPerRun - 1) / c.trialsPerRun);
    Ruled needed, last;
    for (c.runs = fewestRuns; c.runs <= mostRuns && (needed.now == 0 || needed.before == 0 || needed.known == 0);
         ++c.runs) {
        const Ruled share = found(c, sessions, ++seed);
        const auto reach = [&](double& trials, double now, double before) {
            if (trials > 0 || now < power)
                return;
            const double part = c.runs == fewestRuns ? 1 : (power - before) / (now - before);
            trials = (c.runs - 1 + part) * c.trialsPerRun;
        };
        reach(needed.now, share.now, last.now);
        reach(needed.before, share.before, last.before);
        reach(needed.known, share.known, last.known);
        last = share;
    }
    return needed;
}

double heldUnequally(std::span<const double> sds, int runs, int campaigns, std::uint64_t seed)
{
    constexpr double alpha = 0.05;
    const int comparisons = static_cast<int>(sds.size()) - 1;
    const double dunnett = stats::dunnettFactor(1 - alpha, (runs - 1) * comparisons, comparisons, 0.5);
    const double mayMiss = stats::ownRisk(alpha, comparisons, runs);
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal;
    std::vector<std::vector<double>> values(sds.size(), std::vector<double>(static_cast<std::size_t>(runs)));
    int held = 0;
    for (int campaign = 0; campaign < campaigns; ++campaign) {
        std::vector<double> means;
        for (std::size_t c = 0; c < sds.size(); ++c) {
            for (double& value : values[c])
                value = sds[c] * normal(random);
            means.push_back(stats::mean(values[c]));
        }
        std::vector<double> own = stats::scatterWithoutBlocks(values);
        const double together = std::sqrt(2 * stats::mean(own) / runs);
        for (double& variance : own)
            variance = std::max(variance, 0.0) / runs;
        const auto missed = [&](std::size_t c) {
            const double off = std::abs(means[c] - means[0]), square = own[0] + own[c];
            if (off <= dunnett * together)
                return false;
            if (square == 0)
                return true;
            const double dof = square * square / (own[0] * own[0] + own[c] * own[c]) * (runs - 1);
            return 2 * stats::tCdf(-off / std::sqrt(square), dof) < mayMiss;
        };
        bool all = true;
        for (std::size_t c = 1; c < sds.size(); ++c)
            all = all && !missed(c);
        held += all;
    }
    return static_cast<double>(held) / campaigns;
}

} // namespace coverage
