#include "core/report/budget_table.h"
#include "core/report/earlier_session.h"
#include "core/report/csv.h"

#include <cassert>

namespace report {
namespace {

const char* unitOf(stats::LineKind kind)
{
    switch (kind) {
    case stats::LineKind::Clock:
    case stats::LineKind::ScanOut: return "relative";
    case stats::LineKind::Rows: return "ms a row";
    default: return "ms";
    }
}

const char* weightUnitOf(stats::LineKind kind)
{
    switch (kind) {
    case stats::LineKind::Clock:
    case stats::LineKind::ScanOut: return "ms";
    case stats::LineKind::Rows: return "rows";
    default: return "";
    }
}

/// A line of a budget, or "together" after them.
struct BudgetCsvRow {
    std::string quantity, configuration, minus;
    std::string basis, minusBasis;
    BudgetRow line;
    const stats::Expanded* together = nullptr; ///< null: a line
};

constexpr csv::Column<BudgetCsvRow> budgetColumns[] = {
    {"quantity", [](auto& r) { return csv::text(r.quantity); }},
    {"configuration", [](auto& r) { return csv::text(r.configuration); }},
    {"minus", [](auto& r) { return csv::text(r.minus); }},
    {"basis", [](auto& r) { return csv::text(r.basis); }},
    {"basis of minus", [](auto& r) { return csv::text(r.minusBasis); }},
    {"cause", [](auto& r) { return csv::text(r.line.cause); }},
    {"kind", [](auto& r) { return csv::text(r.line.kind); }},
    {"u of the cause", [](auto& r) { return r.together ? "" : csv::number(r.line.u); }},
    {"unit", [](auto& r) { return csv::text(r.line.unit); }},
    {"weight", [](auto& r) { return r.together ? "" : csv::number(r.line.weight); }},
    {"unit of the weight", [](auto& r) { return csv::text(r.line.weightUnit); }},
    {"standard uncertainty (ms)", [](auto& r) { return csv::number(r.line.uMs); }},
    {"degrees of freedom", [](auto& r) { return csv::number(r.line.dof); }},
    {"share", [](auto& r) { return csv::number(r.line.share); }},
    {"level", [](auto& r) { return csv::number(r.together, &stats::Expanded::level); }},
    {"coverage factor", [](auto& r) { return csv::number(r.together, &stats::Expanded::factor); }},
    {"half-width (ms)", [](auto& r) { return csv::number(r.together, &stats::Expanded::halfWidthMs); }},
    {"estimate (ms)", [](auto& r) { return csv::number(r.together, &stats::Expanded::estimateMs); }},
};

/// Those of a mean or difference, which `of` names; none without an interval.
void addLines(std::vector<BudgetCsvRow>& rows, BudgetCsvRow of, const std::vector<stats::BudgetLine>& lines,
              const std::optional<stats::Expanded>& interval)
{
    if (!interval)
        return;
    for (const BudgetRow& line : budgetTable(lines, *interval).rows) {
        of.line = line;
        rows.push_back(of);
    }
    of.line = {"together", "", 0, "", 1, "", interval->uMs, interval->dof, 1};
    of.together = &*interval;
    rows.push_back(of);
}

} // namespace

const char* basisName(stats::Basis basis) { return basis == stats::Basis::Runs ? "runs" : "trials"; }

const char* kindName(stats::LineKind kind)
{
    switch (kind) {
    case stats::LineKind::Scatter: return "scatter";
    case stats::LineKind::Runs: return "runs";
    case stats::LineKind::Phase: return "phase";
    case stats::LineKind::Clock: return "clock";
    case stats::LineKind::Rows: return "rows";
    case stats::LineKind::Lamp: return "lamp";
    case stats::LineKind::Onset: return "onset";
    case stats::LineKind::ScanOut: return "scan-out";
    }
    assert(false);
    return "";
}

BudgetTable budgetTable(const std::vector<stats::BudgetLine>& lines, const stats::Expanded& interval)
{
    BudgetTable table;
    table.together = interval;
    const double all = interval.uMs * interval.uMs;
    for (const stats::BudgetLine& line : lines)
        table.rows.push_back({line.label, kindName(line.kind), line.u, unitOf(line.kind), line.weight,
                              weightUnitOf(line.kind), line.uMs, line.dof, all > 0 ? line.uMs * line.uMs / all : 0});
    return table;
}

std::string budgetCsv(const analysis::Results& results)
{
    std::vector<BudgetCsvRow> rows;
    const auto addMean = [&](const char* quantity, const std::string& name,
                             const analysis::ConfigurationResult& result) {
        if (const stats::MeanOnBasis* mean = result.mean.shown())
            addLines(rows, {quantity, name, {}, basisName(mean->basis), {}, {}}, mean->lines, mean->interval);
    };
    const auto addDifference = [&](const char* quantity, const std::string& name, stats::Basis basis,
                                   const stats::Comparison& comparison, stats::Basis baselineBasis) {
        addLines(
            rows,
            {quantity, name, find(results, results.baseline)->name, basisName(basis), basisName(baselineBasis), {}},
            comparison.lines, comparison.interval);
    };
    for (const analysis::ConfigurationResult& result : results.configurations)
        addMean("mean", result.name, result);
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (const auto& comparison = result.comparison)
            addDifference("difference", result.name, comparison->basis, *comparison, comparison->baselineBasis);
    for (const analysis::EarlierResults& earlier : results.earlier)
        for (const analysis::ConfigurationResult& result : earlier.configurations) {
            const std::string name = earlierName(earlier, result);
            addMean("earlier mean", name, result);
            if (result.comparison)
                addDifference("earlier difference", name, result.mean.shown()->basis, *result.comparison,
                              find(results, results.baseline)->mean.shown()->basis);
        }
    return csv::table(budgetColumns, rows);
}

} // namespace report
