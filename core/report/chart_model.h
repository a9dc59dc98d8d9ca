#pragma once
#include "core/analysis/results.h"
#include <optional>
#include <string>
#include <vector>

namespace report {

struct ChartRow {
    session::ConfigurationId configuration;
    std::string name;
    std::string detail; ///< "24 trials, 1 rejected, baseline"
    bool baseline = false;
    std::optional<double> meanMs;        ///< bar from 0; empty for n = 0
    std::optional<double> lowMs, highMs; ///< interval; empty for n < 2. `lowMs` may lie below the axis
    std::vector<double> dotsMs;          ///< one a trial, in the order taken
    std::string value;                   ///< "31.3"; empty without a mean
    std::string plusMinus;               ///< "1.1"; empty without an interval
    std::string state; ///< in place of a bar: "clock not settled", "all rejected", ...; empty with a mean
};

struct ChartGroup {
    std::string name;           ///< may be empty
    std::vector<ChartRow> rows; ///< >= 1
};

struct ChartTick {
    double ms = 0;
    std::string label; ///< without the unit
};

/// The comparison chart as numbers and words; places and pixels are the painter's.
struct ChartModel {
    std::string title, subtitle;
    std::vector<ChartGroup> groups; ///< in order of their first configuration; none in a session without configurations
    std::string valueHeading;       ///< "mean ± 95 %"; empty where no row has a value
    std::string unit = "ms";
    double axisMaxMs = 0;             ///< the last tick; the axis begins at 0
    std::vector<ChartTick> ticks;     ///< ascending from 0, >= 2; empty where no row has a mean
    std::optional<double> baselineMs; ///< where the dotted line stands
    std::vector<std::string>
        footer; ///< what dot, bracket and line mean; capture rates and margin; notices; the analyst's footnote
};

/// Words the analyst didn't give (title, subtitle) are made from the session. `analysis::Results` are those of
/// `Document`.
ChartModel chartModel(const session::Document&, const analysis::Results&);

} // namespace report
