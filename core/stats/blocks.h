#pragma once
#include "core/stats/budget.h"
#include <optional>
#include <span>
#include <vector>

namespace stats {

/// Mean of one run, of a configuration or of the baseline it is compared with.
struct RunMean {
    bool ofBaseline = false;
    double ms = 0;
};

/// Where the two took turns, each block of one run of either gives a difference from which slow drift falls out.
struct BlockDifferences {
    std::vector<double> differencesMs; ///< configuration minus baseline, a block each, in order
    Expanded mean;                     ///< t on blocks - 1 degrees of freedom; only what differs from block to block
};

/// Of differences that are known block by block. Empty for fewer than 2.
std::optional<BlockDifferences> meanOfBlocks(std::vector<double> differencesMs, double level);

/// Runs in the order they were taken. Empty unless they fall into at least 2 pairs of neighbours with one of each.
/// 0 < level < 1. Shown as a check: errors that all runs share aren't in it.
std::optional<BlockDifferences> blockDifferences(std::span<const RunMean> inOrder, double level);

/// What each value leaves beside its configuration and its block: e_cj = y_cj - y_c. - y_.j + y_.., with `values` by
/// configuration, then block: as many in each.
std::vector<std::vector<double>> leftByBlock(std::span<const std::vector<double>> values);

/// Variance of one value of each configuration with whatever moves a whole block taken out, each configuration's own
/// (Grubbs 1948, JASA 43:243): with residuals e_cj = y_cj - y_c. - y_.j + y_.., q_c = sum_j e_cj^2/(r - 1), it is
/// K/(K - 2) (q_c - sum q/(K (K - 1))). Unbiased, so it may come out negative. `values` by configuration, then block: K
/// >= 3 of r >= 2 each.
std::vector<double> scatterWithoutBlocks(std::span<const std::vector<double>> values);

/// Of the means of one configuration's units (runs, or blocks with several), with what moves whole blocks taken out.
struct BlockVariance {
    double together = 0;        ///< as if all configurations scattered alike from run to run
    double togetherDof = 0;     ///< (r - 1)(K - 1)
    double own = 0;             ///< by scatterWithoutBlocks(), 0 where that comes out negative
    std::vector<double> leftMs; ///< leftByBlock() of these means, in the order of blocks
};

/// As comparisons take them. Together it is the residual mean square of unit means by configuration and block, never
/// below what counting camera frames gives, times w_c over the mean of w, w_c the mean of 1/runs in a block. Given for
/// configurations whose trials all have a block, at least 4 and the same for all of them; empty for the others, and for
/// all where fewer than 3 remain: two show no block apart from their own scatter.
std::vector<std::optional<BlockVariance>> variancesWithoutBlocks(
    std::span<const std::span<const Observation>> configurations);

} // namespace stats
