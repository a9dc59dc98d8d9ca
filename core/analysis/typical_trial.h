#pragma once
#include "core/analysis/results.h"

namespace analysis {

/// The trial that shows what a configuration is like: of those that count the one whose delay lies nearest to their
/// median, the earliest of equals. Empty where none counts.
std::optional<session::TrialId> typicalTrial(const Results&, session::ConfigurationId);

} // namespace analysis
