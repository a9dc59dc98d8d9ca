#pragma once
#include "core/report/results.h"

namespace report {

/// A bar with its trials. A row without a mean says why instead.
struct ChartRow {
    std::string name;
    std::string counts;              ///< "24 trials, baseline"
    std::optional<double> meanMs;
    std::optional<double> lowMs, highMs; ///< ends of the interval
    std::vector<double> dots;        ///< every trial that counts, ms, ascending
    std::string value, halfWidth;    ///< "31.3" and "1.1"; the latter empty without an interval
    std::string note;                ///< instead of a bar: "clock not settled", "no trials yet"
};

struct ChartGroup {
    std::string name;                ///< empty: no heading
    std::vector<ChartRow> rows;
};

/// The comparison chart as numbers and words, no pixels.
struct ChartModel {
    std::string title, subtitle;
    std::vector<ChartGroup> groups;  ///< in the session's order; rows of one group stand together
    std::vector<double> ticks;       ///< ms, ascending from 0; the last one is the axis' end
    std::string unit = "ms";
    std::string valueHeading;        ///< "mean ± 95 %"
    std::optional<double> baselineMs;///< dotted line
    std::vector<std::string> footer; ///< what dots, brackets and line mean; capture rates; interim and the like
};

ChartModel chartModel(const session::Document& document, const Results& results);

} // namespace report
