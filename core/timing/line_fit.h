#pragma once
#include <optional>
#include <span>
#include <vector>

namespace timing {

/// Lines y = intercept_g + slope * x through points of several groups that share one slope, by least squares.
struct LineFit {
    struct Value {
        double value = 0, standardUncertainty = 0;
    };

    std::vector<double> intercepts;             ///< one a group, at x = 0
    std::vector<double> interceptUncertainties; ///< standard
    std::vector<double> covariances;            ///< of each intercept with the slope
    double slope = 0, slopeUncertainty = 0;     ///< standard
    std::vector<double> residuals;              ///< y - line, one a point
    double residualSd = 0;                      ///< sqrt(sum of squares / degreesOfFreedom); 0 without any
    int degreesOfFreedom = 0;                   ///< points - groups - 1, >= 0

    /// The line of one group at `x`.
    Value at(double x, std::size_t group = 0) const;
};

/// About the means of each group; of one line the formulas are those of JCGM 100:2008, H.3. `group` is empty (one line)
/// or gives each point's group from 0, without a gap. Empty when a group has no point or the points leave the slope
/// open. Preconditions: equal lengths, finite values.
std::optional<LineFit> fitLines(std::span<const double> x, std::span<const double> y, std::span<const int> group = {});

} // namespace timing
