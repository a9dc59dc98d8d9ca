#pragma once
#include <limits>

namespace stats {

/// As degrees of freedom: the normal distribution.
inline constexpr double endlessDof = std::numeric_limits<double>::infinity();

/// The value that Student's t falls below with probability `p`, 0 < p < 1. `dof` > 0, need not be whole; infinity is
/// the normal distribution.
double tQuantile(double p, double dof);

/// P(T <= t) of Student's t.
double tCdf(double t, double dof);

/// Two-sided coverage factor: |t| stays within it with probability `level`, 0 < level < 1.
double coverageFactor(double level, double dof);

/// P(X <= k) for X binomial of n fair tosses, 0 <= k <= n.
double fairBinomialCdf(int k, int n);

/// Chance of a standard normal value at least |z| from 0.
double normalTwoSidedP(double z);

/// Fisher's exact test of two shares, `a` of `n` against `b` of `m`: chance, two-sided, of tables no likelier than this
/// one where both shares are one. 0 <= a <= n, 0 <= b <= m, n and m >= 1.
double fisherTwoSidedP(int a, int n, int b, int m);

/// Noncentral t of `dof` > 0 (need not be whole, may be endless) and noncentrality `shift`: P(X <= t) and P(X > t).
double noncentralTCdf(double t, double dof, double shift);
double noncentralTUpper(double t, double dof, double shift);

} // namespace stats
