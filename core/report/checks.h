#pragma once
#include "core/report/results.h"

namespace report {

/// Fills in `checks` of every configuration; comparisons are there already. Inside core/report only.
void addChecks(const session::Document&, Results&);

} // namespace report
