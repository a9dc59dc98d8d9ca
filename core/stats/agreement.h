#pragma once
#include <optional>
#include <span>

namespace stats {

/// How far two readings of the same things lie apart (Bland & Altman 1986, Lancet i:307). In the unit of the
/// differences.
struct Agreement {
    int n = 0;
    int equal = 0, withinOne = 0; ///< differences of 0, and of at most 1 either way
    double bias = 0;              ///< mean difference; n >= 1
    /// One reading's own SD, sqrt(sum d^2 / 2n): d of two readings has twice its variance. A bias counts as scatter
    /// here.
    double readingSd = 0;
    struct Spread {
        double sd = 0;                      ///< of the differences, divides by n - 1
        double biasU = 0;                   ///< sd / sqrt(n)
        double biasLow = 0, biasHigh = 0;   ///< interval of the bias at the level asked for, Student's t
        double limitLow = 0, limitHigh = 0; ///< limits of agreement: bias -+ 1.96 sd, where 95 % of differences fall
        double limitU = 0;                  ///< standard error of a limit, sd sqrt(3/n)
    };
    std::optional<Spread> spread; ///< n >= 2
};

/// `differences`: second reading less first, all finite; 0 < level < 1. n = 0 gives zeros.
Agreement agreement(std::span<const double> differences, double level);

/// Two readings of one thing differ by less than this in 95 of 100: 1.96 sqrt(2) of the SD of one.
double repeatability(const Agreement&);

} // namespace stats
