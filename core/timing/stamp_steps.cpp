#include "core/timing/stamp_steps.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <map>

namespace timing {
namespace {

constexpr double runReach = 1.5; ///< ticks

struct Step {
    FrameNumber to;
    double seconds = 0;
};

std::vector<Step> stepsOf(const Stamps& stamps)
{
    std::vector<Step> steps;
    for (std::size_t k = 1; k < stamps.size(); ++k)
        if (stamps[k] && stamps[k - 1])
            steps.push_back({{static_cast<std::int64_t>(k)}, (*stamps[k] - *stamps[k - 1]).toDouble()});
    return steps;
}

std::vector<StepBin> histogramOf(const std::vector<double>& sorted, double tick)
{
    std::map<std::int64_t, StepBin> distinct; // by whole ticks
    for (const double step : sorted) {
        StepBin& bin = distinct.try_emplace(std::llround(step / tick), StepBin{step, step, 0}).first->second;
        ++bin.count;
        if (distinct.size() > StampSteps::mostBins)
            break;
    }
    std::vector<StepBin> bins;
    if (distinct.size() <= StampSteps::mostBins) {
        for (const auto& [ticks, bin] : distinct)
            bins.push_back(bin);
        return bins;
    }
    const double low = sorted.front(), width = (sorted.back() - low) / StampSteps::mostBins;
    for (int i = 0; i < StampSteps::mostBins; ++i)
        bins.push_back({low + i * width, low + (i + 1) * width, 0});
    for (const double step : sorted)
        ++bins[std::min(static_cast<std::size_t>((step - low) / width), bins.size() - 1)].count;
    return bins;
}

std::vector<StepRun> runsOf(const std::vector<Step>& steps, double tick)
{
    std::vector<StepRun> runs;
    double sum = 0;
    for (const Step& step : steps) {
        if (!runs.empty() && step.to.value == runs.back().first.value + runs.back().steps
            && std::abs(step.seconds - sum / static_cast<double>(runs.back().steps)) <= runReach * tick) {
            ++runs.back().steps;
            sum += step.seconds;
        } else {
            runs.push_back({step.to, 1, 0});
            sum = step.seconds;
        }
        runs.back().seconds = sum / static_cast<double>(runs.back().steps);
    }
    return runs;
}

} // namespace

StampSteps stampSteps(const Stamps& stamps, const Rational& tick)
{
    assert(tick.numerator() > 0);
    StampSteps result;
    const std::vector<Step> steps = stepsOf(stamps);
    result.steps = std::ssize(steps);
    if (steps.empty())
        return result;
    std::vector<double> sorted;
    for (const Step& step : steps)
        sorted.push_back(step.seconds);
    std::ranges::sort(sorted);
    const auto n = static_cast<double>(sorted.size());
    double sum = 0, squares = 0;
    for (const double step : sorted)
        sum += step;
    result.mean = sum / n;
    for (const double step : sorted)
        squares += (step - result.mean) * (step - result.mean);
    result.sd = sorted.size() > 1 ? std::sqrt(squares / (n - 1)) : 0;
    result.median = sorted[sorted.size() / 2];
    result.shortest = sorted.front();
    result.longest = sorted.back();
    result.histogram = histogramOf(sorted, tick.toDouble());
    result.runs = runsOf(steps, tick.toDouble());
    result.allRuns = std::ssize(result.runs);
    std::ranges::stable_sort(result.runs, std::greater<>(), &StepRun::steps);
    if (result.runs.size() > StampSteps::mostRuns)
        result.runs.resize(StampSteps::mostRuns);
    std::ranges::sort(result.runs, {}, [](const StepRun& run) { return run.first; });
    return result;
}

} // namespace timing
