#include "core/timing/phase_dither.h"
#include "core/timing/slope_bounds.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <vector>

namespace timing {
namespace {

constexpr std::int64_t mostFlashes = 100'000;
constexpr std::int64_t sampledFlashes = 4'000; ///< beyond them a gap of the phases no longer matters
constexpr int startPhases = 8;

double fraction(double value) { return value - std::floor(value); }

} // namespace

double largestPhaseGap(double framesAFlash, std::int64_t flashes)
{
    std::vector<double> phases;
    for (std::int64_t n = 0; n < std::min(flashes, sampledFlashes); ++n)
        phases.push_back(fraction(static_cast<double>(n) * framesAFlash));
    std::sort(phases.begin(), phases.end());
    double gap = phases.front() + 1 - phases.back();
    for (std::size_t i = 1; i < phases.size(); ++i)
        gap = std::max(gap, phases[i] - phases[i - 1]);
    return gap;
}

bool lacksDither(double framesAFlash, std::int64_t flashes)
{
    // The best spread (steps of the golden section) leaves at most 2.4 / flashes; half of the way to nothing is a
    // fifth.
    return largestPhaseGap(framesAFlash, flashes) > std::max(0.2, 4.0 / static_cast<double>(flashes));
}

bool dithersSlowly(double framesAFlash, double doubt)
{
    constexpr int steps = 8;
    for (int i = -steps; i <= steps; ++i)
        if (largestPhaseGap(framesAFlash + doubt * i / steps, 13) > 0.4)
            return true;
    return false;
}

std::optional<double> betterFrequency(double captureRate, double frequency, std::int64_t flashes)
{
    const double digits = std::pow(10.0, std::floor(std::log10(frequency)) - 2);
    double best = 1;
    std::optional<double> chosen;
    for (int step = 0; step <= 150; ++step)
        for (const int side : {1, -1}) {
            const double candidate = std::round(frequency / digits + side * step) * digits;
            if (std::abs(candidate / frequency - 1) > 0.15 || candidate * 2.5 > captureRate)
                continue;
            double gap = 0;
            for (const double off : {-0.001, -0.0005, 0.0, 0.0005, 0.001})
                gap = std::max(gap, largestPhaseGap(captureRate * (1 + off) / candidate, flashes));
            if (gap < 0.8 * best) { // a nearer one wins against one hardly better
                best = gap;
                chosen = candidate;
            }
        }
    return chosen;
}

double expectedFitUncertainty(double captureRate, double frequency, std::int64_t flashes)
{
    assert(frequency > 0 && captureRate > 2 * frequency && flashes >= 2);
    const double b = captureRate / frequency;
    double sum = 0;
    for (int p = 0; p < startPhases; ++p) {
        const double start = (p + 0.5) / startPhases;
        SlopeBounds on, off;
        for (std::int64_t n = 0; n < flashes; ++n) {
            const double x = static_cast<double>(n);
            const double lit = std::ceil(start + b * x), dark = std::ceil(start + b * (x + 0.5));
            on.add(x, lit - 1, lit);
            off.add(x, dark - 1, dark);
        }
        sum += (std::min(on.highest(), off.highest()) - std::max(on.lowest(), off.lowest())) / 2;
    }
    return sum / startPhases / b / std::sqrt(3.0);
}

ReferencePlan planReference(double captureRate, double frequency, double tolerance, double wanted)
{
    ReferencePlan plan;
    plan.frequency = frequency;
    const double lamp = tolerance / std::sqrt(3.0);
    const auto reached = [&](std::int64_t flashes) {
        return std::hypot(lamp, expectedFitUncertainty(captureRate, frequency, flashes)) <= wanted;
    };
    if (lamp >= wanted)
        return plan;
    std::int64_t enough = 2;
    while (!reached(enough)) {
        if (enough >= mostFlashes)
            return plan;
        enough = std::min(enough * 2, mostFlashes);
    }
    std::int64_t tooFew = enough / 2;
    while (enough - tooFew > std::max<std::int64_t>(1, enough / 100)) {
        const std::int64_t middle = (enough + tooFew) / 2;
        (middle >= 2 && reached(middle) ? enough : tooFew) = middle;
    }
    plan.flashes = enough;
    plan.seconds = static_cast<double>(enough) / frequency;
    plan.uncertainty = std::hypot(lamp, expectedFitUncertainty(captureRate, frequency, enough));
    return plan;
}

} // namespace timing
