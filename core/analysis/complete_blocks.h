#pragma once
#include "core/analysis/trial_outcome.h"
#include <map>
#include <string>
#include <vector>

namespace analysis {

/// Which configurations stand in complete blocks of the run sheet, so that what moves a whole block can be taken out of
/// their differences. The sheet says so before filming; the delays have no say. Inside core/analysis only.
struct CompleteBlocks {
    /// Complete configurations: the block of each of their runs. At least 3 of them, 4 blocks, the same for all; else
    /// none.
    std::map<session::ConfigurationId, std::map<session::RunId, int>> blocks;
    std::map<session::ConfigurationId, std::string> why; ///< of each other one with trials that count, half a sentence
};

/// A configuration is complete where each of its trials that count is of a run on a line of its own, and these stand in
/// just the blocks that `baseline`'s do, one or more in each. No sheet: none, and no reasons.
CompleteBlocks completeBlocks(const session::Document&, const std::vector<TrialOutcome>&,
                              session::ConfigurationId baseline);

} // namespace analysis
