#pragma once
#include "core/analysis/results.h"
#include <string>
#include <vector>

namespace report {

/// One line of an uncertainty budget with all it takes to work it out again: uMs = |weight| * u.
struct BudgetRow {
    std::string cause;
    const char* kind = "";       ///< kindName()
    double u = 0;                ///< standard uncertainty of the cause, in `unit`
    const char* unit = "ms";     ///< "ms", "ms a row", "relative"
    double weight = 1;           ///< signed, in `weightUnit`
    const char* weightUnit = ""; ///< "", "rows", "ms"
    double uMs = 0;              ///< of the result
    double dof = 0;              ///< may be endless
    double share = 0;            ///< of the square of all, 0 to 1
};

/// All lines of one mean or one difference. The standard uncertainty of all is their root sum of squares, its degrees
/// of freedom by Welch and Satterthwaite, u^4 / sum of u_i^4/dof_i.
struct BudgetTable {
    std::vector<BudgetRow> rows;
    stats::Expanded together;
};
BudgetTable budgetTable(const std::vector<stats::BudgetLine>& lines, const stats::Expanded& interval);

/// "scatter", "runs", "phase", "clock", "rows", "lamp", "onset", "scan-out".
const char* kindName(stats::LineKind);
/// "runs", "trials".
const char* basisName(stats::Basis);

/// Every budget of the session as CSV (see tables.h): a row for each line of each mean and each difference that has an
/// interval, and after them a row "together" with level, coverage factor and half-width. Endless degrees of freedom are
/// "inf".
std::string budgetCsv(const analysis::Results&);

} // namespace report
