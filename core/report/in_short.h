#pragma once
#include "core/analysis/results.h"
#include <optional>
#include <string>

namespace report {

/// What a configuration's trials say, for whoever reads nothing else.
struct InShort {
    /// What it adds and how sure that is: "Adds 7.2 ms (5.7 to 8.7 with 95 % confidence)."
    std::string says;
    /// What is missing, as far as something is: planned trials, runs enough to speak for others, and what would narrow
    /// it most.
    std::string missing;
};
InShort inShort(const analysis::Results&, const analysis::ConfigurationResult&);

/// What "same within the margin" goes by, for inner marks on the interval that is drawn; empty where that has the same
/// ends. Precondition: there is an interval.
std::optional<stats::Expanded> innerMarks(const stats::Comparison&);

} // namespace report
