#pragma once
#include <limits>

namespace stats {

/// As degrees of freedom: the normal distribution.
inline constexpr double endlessDof = std::numeric_limits<double>::infinity();

/// The value that Student's t falls below with probability `p`, 0 < p < 1. `dof` > 0, need not be whole; infinity is the
/// normal distribution.
double tQuantile(double p, double dof);

/// Two-sided coverage factor: |t| stays within it with probability `level`, 0 < level < 1.
double coverageFactor(double level, double dof);

/// P(X <= k) for X binomial of n fair tosses, 0 <= k <= n.
double fairBinomialCdf(int k, int n);

/// Chance of a standard normal value at least |z| from 0.
double normalTwoSidedP(double z);

/// Noncentral t of `dof` > 0 (need not be whole, may be endless) and noncentrality `shift`: P(X <= t) and P(X > t).
double noncentralTCdf(double t, double dof, double shift);
double noncentralTUpper(double t, double dof, double shift);

} // namespace stats
