#pragma once
#include "core/stats/blocks.h"
#include "core/stats/budget.h"
#include <map>
#include <optional>
#include <span>
#include <vector>

namespace stats {

/// A mean and its uncertainty in the pieces that a difference needs apart: scatter and phase are a side's own, error
/// sources may be shared with the other side. Inside core/stats only.
struct MeanParts {
    Basis basis = Basis::Trials;
    double estimateMs = 0;
    BudgetLine scatter;
    std::optional<BudgetLine> phase; ///< empty where swept, or already in the scatter of the run means
    std::map<int, double> weights;   ///< source key to ms of the estimate per unit of its error
    int trials = 0;
    int units = 0; ///< trials, runs or blocks that the scatter is over

    double ownVariance() const { return scatter.uMs * scatter.uMs + (phase ? phase->uMs * phase->uMs : 0); }
};

/// The same on every basis that the observations allow: Trials for n >= 1, then Runs for runs >= 4.
std::vector<MeanParts> meanParts(std::span<const Observation> observations);

/// On Runs with what moves whole blocks taken out: by all configurations together, then by each one's own scatter. The
/// degrees of freedom of one estimate for both sides count half with either, so that a difference has them once.
/// Precondition: runs >= 4.
std::vector<MeanParts> partsWithoutBlocks(std::span<const Observation> observations, const BlockVariance& variance);

/// What each observation counts for in the mean; the sum is 1.
std::vector<double> meanWeights(std::span<const Observation> observations);

/// Variance of a single delay, never below the floor; `floorUsed` says which it is. Precondition: not empty.
double trialVariance(std::span<const Observation> observations, bool& floorUsed);

int captureCount(std::span<const Observation> observations);
/// Known runs.
int runCount(std::span<const Observation> observations);

/// One line a source that has a weight, in the order of `sources`. Every key in `weights` is in `sources`.
std::vector<BudgetLine> sourceLines(const std::map<int, double>& weights, std::span<const ErrorSource> sources);

inline constexpr int runsForScatter = 4; ///< fewer say too little of what changes from run to run

} // namespace stats
