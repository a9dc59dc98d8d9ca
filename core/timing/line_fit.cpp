#include "core/timing/line_fit.h"

#include <Eigen/Dense>
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
    const auto n = static_cast<Eigen::Index>(x.size());
    const Eigen::Index groups = group.empty() ? 1 : *std::max_element(group.begin(), group.end()) + 1;
    if (n < groups + 1)
        return std::nullopt;
    double mean = 0;
    for (const double value : x)
        mean += value / static_cast<double>(n);

    Eigen::MatrixXd design = Eigen::MatrixXd::Zero(n, groups + 1);
    Eigen::VectorXd right(n);
    for (Eigen::Index i = 0; i < n; ++i) {
        const auto at = static_cast<std::size_t>(i);
        design(i, group.empty() ? 0 : group[at]) = 1;
        design(i, groups) = x[at] - mean;
        right(i) = y[at];
    }
    const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(design);
    if (qr.rank() < groups + 1)
        return std::nullopt;
    const Eigen::VectorXd solution = qr.solve(right);
    const Eigen::VectorXd residuals = right - design * solution;

    LineFit fit;
    fit.degreesOfFreedom = static_cast<int>(n - groups - 1);
    fit.residuals.assign(residuals.data(), residuals.data() + n);
    fit.residualSd = fit.degreesOfFreedom > 0 ? std::sqrt(residuals.squaredNorm() / fit.degreesOfFreedom) : 0;
    const Eigen::MatrixXd r = qr.matrixR().topRows(groups + 1).triangularView<Eigen::Upper>();
    const Eigen::MatrixXd inverse = qr.colsPermutation() * r.inverse();
    const Eigen::MatrixXd covariance = fit.residualSd * fit.residualSd * inverse * inverse.transpose();

    fit.slope = solution(groups);
    fit.slopeUncertainty = std::sqrt(covariance(groups, groups));
    for (Eigen::Index g = 0; g < groups; ++g) {
        const double slopeVariance = covariance(groups, groups), mixed = covariance(g, groups);
        fit.intercepts.push_back(solution(g) - fit.slope * mean);
        fit.interceptUncertainties.push_back(
            std::sqrt(std::max(covariance(g, g) + mean * mean * slopeVariance - 2 * mean * mixed, 0.0)));
        fit.covariances.push_back(mixed - mean * slopeVariance);
    }
    return fit;
}

} // namespace timing
