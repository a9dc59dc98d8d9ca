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

} // namespace stats
