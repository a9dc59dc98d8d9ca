#pragma once
#include "core/analysis/results.h"

namespace analysis {

/// What the reader of the figures should know beside them. `withoutRegions`: trials that count and lack a lamp or
/// screen region. Inside core/analysis only.
void addWarnings(const session::Document&, Results&, int withoutRegions);

} // namespace analysis
