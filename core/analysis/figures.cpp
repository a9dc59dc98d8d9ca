#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <cmath>

namespace analysis {
namespace {

constexpr const char* plusMinusSign = "\u00b1";

double rootSumOfSquares(const std::vector<stats::BudgetLine>& lines)
{
    double sum = 0;
    for (const stats::BudgetLine& line : lines)
        sum += line.uMs * line.uMs;
    return std::sqrt(sum);
}

} // namespace

std::optional<Figure> meanFigure(const analysis::ConfigurationResult& result)
{
    const stats::MeanOnBasis* mean = result.mean.shown();
    if (!mean)
        return std::nullopt;
    Figure figure;
    figure.decimals = decimalsBy(mean->interval ? mean->interval->halfWidthMs : rootSumOfSquares(mean->lines));
    figure.value = stats::formatFixed(mean->estimateMs, figure.decimals);
    if (mean->interval) {
        figure.halfWidth = stats::formatFixed(mean->interval->halfWidthMs, figure.decimals);
        figure.low = stats::formatFixed(mean->interval->low(), figure.decimals);
        figure.high = stats::formatFixed(mean->interval->high(), figure.decimals);
    }
    return figure;
}

std::optional<Figure> differenceFigure(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    if (!result.comparison || !result.comparison->differenceMs)
        return std::nullopt;
    const stats::Comparison& comparison = *result.comparison;
    Figure figure;
    if (comparison.interval) {
        figure.decimals = decimalsBy(comparison.interval->halfWidthMs);
        figure.halfWidth = stats::formatFixed(comparison.interval->halfWidthMs, figure.decimals);
        figure.low = stats::formatSigned(comparison.interval->low(), figure.decimals);
        figure.high = stats::formatSigned(comparison.interval->high(), figure.decimals);
    } else {
        const analysis::ConfigurationResult* baseline = find(results, results.baseline);
        figure.decimals = decimalsBy(std::hypot(rootSumOfSquares(result.mean.overTrials->lines),
                                                rootSumOfSquares(baseline->mean.overTrials->lines)));
    }
    figure.value = stats::formatSigned(*comparison.differenceMs, figure.decimals);
    return figure;
}

std::string plusMinus(const Figure& figure)
{
    return figure.halfWidth.empty() ? figure.value : figure.value + ' ' + plusMinusSign + ' ' + figure.halfWidth;
}

DelayFigure delayFigure(const timing::TrialDelay& delay)
{
    const int decimals = decimalsBy((delay.latest - delay.earliest).count());
    return {stats::formatFixed(delay.delay.count(), decimals), stats::formatFixed(delay.earliest.count(), decimals),
            stats::formatFixed(delay.latest.count(), decimals)};
}

} // namespace analysis
