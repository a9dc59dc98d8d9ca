#include "core/timing/line_fit.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace timing {

LineFit::Value LineFit::at(double x, std::size_t group) const
{
    const double variance = interceptUncertainties[group] * interceptUncertainties[group]
                            + x * x * slopeUncertainty * slopeUncertainty + 2 * x * covariances[group];
    return {intercepts[group] + slope * x, std::sqrt(std::max(variance, 0.0))};
}

std::optional<LineFit> fitLines(std::span<const double> x, std::span<const double> y, std::span<const int> group)
{
    assert(x.size() == y.size() && (group.empty() || group.size() == x.size()));
    struct Means {
        double count = 0, x = 0, y = 0;
    };
    const auto groupOf = [&](std::size_t i) { return group.empty() ? 0 : static_cast<std::size_t>(group[i]); };
    std::vector<Means> means(group.empty() ? 1 : static_cast<std::size_t>(*std::ranges::max_element(group)) + 1);
    for (std::size_t i = 0; i < x.size(); ++i) { // means that are kept up to date lose nothing to large numbers
        Means& mean = means[groupOf(i)];
        ++mean.count;
        mean.x += (x[i] - mean.x) / mean.count;
        mean.y += (y[i] - mean.y) / mean.count;
    }
    double squares = 0, products = 0, largest = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const Means& mean = means[groupOf(i)];
        squares += (x[i] - mean.x) * (x[i] - mean.x);
        products += (x[i] - mean.x) * (y[i] - mean.y);
        largest = std::max(largest, std::abs(x[i]));
    }
    constexpr double rounding = 1e-12; // x that differ by no more are one x
    if (std::ranges::any_of(means, [](const Means& mean) { return mean.count == 0; })
        || !(std::sqrt(squares) > rounding * largest))
        return std::nullopt;

    LineFit fit;
    fit.slope = products / squares;
    double left = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const Means& mean = means[groupOf(i)];
        fit.residuals.push_back(y[i] - mean.y - fit.slope * (x[i] - mean.x));
        left += fit.residuals.back() * fit.residuals.back();
    }
    fit.degreesOfFreedom = static_cast<int>(x.size()) - static_cast<int>(means.size()) - 1;
    fit.residualSd = fit.degreesOfFreedom > 0 ? std::sqrt(left / fit.degreesOfFreedom) : 0;
    fit.slopeUncertainty = fit.residualSd / std::sqrt(squares);
    const double slopeVariance = fit.slopeUncertainty * fit.slopeUncertainty;
    for (const Means& mean : means) {
        fit.intercepts.push_back(mean.y - fit.slope * mean.x);
        fit.interceptUncertainties.push_back(
            std::sqrt(fit.residualSd * fit.residualSd / mean.count + mean.x * mean.x * slopeVariance));
        fit.covariances.push_back(-mean.x * slopeVariance);
    }
    return fit;
}

} // namespace timing
