#include "coverage.h"
#include "core/stats/comparison.h"

#include <cmath>
#include <random>
#include <vector>

namespace coverage {
namespace {

constexpr double clockU = 0.001;
constexpr double apart = 1.5;      ///< seconds between presses, on the average
constexpr double groupStepMs = 12; ///< of the two modes
constexpr double marginMs = 4;

class Bench {
public:
    Bench(const Case& c, std::uint64_t seed) : m_case(c), m_random(seed) {}

    void newSession() { m_clockError = 1 + clockU * m_normal(m_random); }

    /// Trials of one configuration whose inner delay is `shiftMs` longer than usual.
    std::vector<stats::Observation> take(double shiftMs)
    {
        std::vector<stats::Observation> trials;
        const double interval = 1 / (m_case.camera * m_clockError); // seconds, as the camera truly runs
        const double stated = 1000 / m_case.camera;
        for (int run = 0; run < m_case.runs; ++run) {
            ++m_capture;
            const double runShift = m_case.runShiftMs * m_normal(m_random);
            const double cameraPhase = m_unit(m_random) * interval, refreshPhase = m_unit(m_random) / m_case.refresh;
            double press = 0;
            for (int t = run; t < m_case.trials; t += m_case.runs) {
                press += apart * (0.5 + m_unit(m_random));
                const double ready = press + (shiftMs + runShift + inner()) / 1000;
                const double shown = refreshPhase + std::ceil((ready - refreshPhase) * m_case.refresh) / m_case.refresh;
                const auto frame = [&](double time) { return std::ceil((time - cameraPhase) / interval); };
                const double delay = (frame(shown) - frame(press)) * stated;
                // Rates are stated to 0.1 % and nothing of the beat is measured: phase stays in the budget.
                trials.push_back({delay, stated, stated, m_capture, m_capture, false, {{1, delay}}});
            }
        }
        return trials;
    }

    /// Mean of what take(0) measures: inner delay and half a refresh interval of waiting.
    double truth() const
    {
        const double waiting = 500 / m_case.refresh;
        return base + waiting + (m_case.shape == Shape::TwoModes ? 0.3 * groupStepMs : 0);
    }

private:
    double inner()
    {
        switch (m_case.shape) {
        case Shape::Smooth: return base + 2 * m_normal(m_random);
        case Shape::Skewed: return base - 4 + 2 * m_gamma(m_random); // mean 4, SD 2.8, skewness 1.4
        case Shape::TwoModes: return base + 0.5 * m_normal(m_random) + (m_unit(m_random) < 0.3 ? groupStepMs : 0);
        }
        return base;
    }

    static constexpr double base = 40;
    Case m_case;
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
    Bench bench(c, seed);
    const std::vector<stats::ErrorSource> sources{{1, "rate", clockU, stats::endlessDof, stats::LineKind::Clock}};
    const stats::ComparisonPlan plan{0.05, 2, std::nullopt, std::nullopt}, withMargin{0.05, 2, marginMs, std::nullopt};
    const auto told = [](const stats::Comparison& comparison) {
        return comparison.interval->low() > 0 || comparison.interval->high() < 0;
    };
    int mean = 0, difference = 0, verdict = 0, same = 0;
    for (int i = 0; i < sessions; ++i) {
        bench.newSession();
        const auto baseline = bench.take(0), first = bench.take(0), second = bench.take(0),
                   longer = bench.take(marginMs);
        mean += holds(*stats::meanBudget(baseline, sources, 0.95).shown()->interval, bench.truth());
        const stats::Comparison one = stats::compare(first, baseline, sources, plan),
                                other = stats::compare(second, baseline, sources, plan);
        difference += holds(*one.interval, 0);
        verdict += told(one) || told(other);
        // With a margin compare() also works out the effort for it, which takes long: asked only where "same" is
        // possible.
        if (stats::compare(longer, baseline, sources, plan).equivalence->high() < marginMs)
            same += stats::compare(longer, baseline, sources, withMargin).verdict == stats::Verdict::SameWithinMargin;
    }
    const double all = sessions;
    return {mean / all, difference / all, verdict / all, same / all};
}

} // namespace coverage
