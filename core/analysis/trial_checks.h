#pragma once
#include "core/analysis/results.h"

namespace analysis {

/// Fills in `checks` of every configuration; comparisons are there already. Inside core/analysis only.
void addChecks(const session::Document&, Results&);

} // namespace analysis
