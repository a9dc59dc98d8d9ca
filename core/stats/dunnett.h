#pragma once
#include <span>

/// Several estimates compared with one baseline (Dunnett 1955, JASA 50:1096; 1964, Biometrics 20:482). Comparison i
/// goes with the baseline's error by lambda_i = sqrt(V_0 / (V_0 + V_i)), V the variances of the two means, so that
/// comparisons i and j correlate by lambda_i lambda_j. One estimate of scatter serves all, on `dof` degrees of freedom:
/// 1 or more, need not be whole, may be endless.
namespace stats {

/// Chance that every comparison lies within `factor` > 0 standard uncertainties of its truth, either way. Quadrature,
/// good to 1e-9. Preconditions: not empty, 0 <= lambda^2 <= 0.9.
double dunnettCoverage(double factor, double dof, std::span<const double> lambdas);

/// The two-sided factor with which all hold together at `level`, 0 < level < 1; of one comparison it is Student's.
double dunnettFactor(double level, double dof, std::span<const double> lambdas);

/// The same where any two of `comparisons` >= 1 correlate by `rho`, 0 <= rho <= 0.9.
double dunnettFactor(double level, double dof, int comparisons, double rho);

/// What one of these intervals may miss by itself, a two-sided level of Student's t, as a function of the degrees of
/// freedom. It hardly depends on them: through two values worked out exactly it is taken as linear in 1/dof, which
/// leaves less than 1 % of the factor. For planning, where hundreds are asked for.
class SingleRisk {
public:
    /// 0 < alpha < 1 of all together.
    SingleRisk(double alpha, int comparisons, double rho);
    double at(double dof) const; ///< dof >= 1

private:
    double m_endless = 0, m_slope = 0;
    double m_least = 0, m_most = 0; ///< alpha/k and alpha
};

} // namespace stats
