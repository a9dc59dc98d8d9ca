#include "core/report/figures.h"
#include "core/report/words.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <charconv>
#include <cmath>

namespace report {
namespace {

constexpr int mostRateDecimals = 3;
constexpr const char* plusMinusSign = "\u00b1";

double rootSumOfSquares(const std::vector<stats::BudgetLine>& lines)
{
    double sum = 0;
    for (const stats::BudgetLine& line : lines)
        sum += line.uMs * line.uMs;
    return std::sqrt(sum);
}

} // namespace

std::optional<Figure> meanFigure(const ConfigurationResult& result)
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

std::optional<Figure> differenceFigure(const Results& results, const ConfigurationResult& result)
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
        const ConfigurationResult* baseline = find(results, results.baseline);
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

std::string plain(double value)
{
    char text[64];
    const auto end = std::to_chars(text, text + sizeof text, value).ptr;
    return {text, end};
}

std::string percent(double share)
{
    char text[64];
    const auto end = std::to_chars(text, text + sizeof text, share * 100, std::chars_format::fixed, 2).ptr;
    std::string digits(text, end);
    digits.erase(digits.find_last_not_of('0') + 1);
    if (digits.back() == '.')
        digits.pop_back();
    return digits + " %";
}

std::string counted(std::int64_t count, const std::string& one, const std::string& many)
{
    return std::to_string(count) + ' ' + (count == 1 ? one : many);
}

std::string rateText(const timing::RateEvidence& rate)
{
    const double uncertainty = rate.rate * rate.relativeUncertainty;
    return uncertainty > 0 ? stats::formatFixed(rate.rate, std::min(stats::decimalsFor(uncertainty), mostRateDecimals)) : plain(rate.rate);
}

} // namespace report
