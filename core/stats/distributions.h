#pragma once

namespace stats {

/// The value that Student's t falls below with probability `p`, 0 < p < 1. `dof` > 0, need not be whole; infinity is the
/// normal distribution.
double tQuantile(double p, double dof);

/// Two-sided coverage factor: |t| stays within it with probability `level`, 0 < level < 1.
double coverageFactor(double level, double dof);

/// P(X <= k) for X binomial of n fair tosses, 0 <= k <= n.
double fairBinomialCdf(int k, int n);

} // namespace stats
