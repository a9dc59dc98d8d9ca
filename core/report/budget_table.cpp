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

/// What a budget belongs to.
struct Of {
    const char* quantity;
    std::string configuration, minus;
    const char *basis, *minusBasis;
};

void write(Csv& csv, const Of& of, const BudgetTable& table)
{
    const auto begin = [&]() -> Csv& {
        return csv.text(of.quantity).text(of.configuration).text(of.minus).text(of.basis).text(of.minusBasis);
    };
    for (const BudgetRow& row : table.rows) {
        begin().text(row.cause).text(row.kind).number(row.u).text(row.unit).number(row.weight).text(row.weightUnit);
        csv.number(row.uMs).number(row.dof).number(row.share).empty().empty().empty().empty().endRow();
    }
    begin().text("together").empty().empty().empty().empty().empty();
    csv.number(table.together.uMs)
        .number(table.together.dof)
        .number(1.0)
        .number(table.together.level)
        .number(table.together.factor);
    csv.number(table.together.halfWidthMs).number(table.together.estimateMs).endRow();
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
    Csv csv;
    for (const char* name :
         {"quantity", "configuration", "minus", "basis", "basis of minus", "cause", "kind", "u of the cause", "unit",
          "weight", "unit of the weight", "standard uncertainty (ms)", "degrees of freedom", "share", "level",
          "coverage factor", "half-width (ms)", "estimate (ms)"})
        csv.text(name);
    csv.endRow();
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (const stats::MeanOnBasis* mean = result.mean.shown(); mean && mean->interval)
            write(csv, {"mean", result.name, {}, basisName(mean->basis), ""},
                  budgetTable(mean->lines, *mean->interval));
    const analysis::ConfigurationResult* baseline = find(results, results.baseline);
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (const auto& comparison = result.comparison; comparison && comparison->interval)
            write(csv,
                  {"difference", result.name, baseline->name, basisName(comparison->basis),
                   basisName(comparison->baselineBasis)},
                  budgetTable(comparison->lines, *comparison->interval));
    for (const analysis::EarlierResults& earlier : results.earlier)
        for (const analysis::ConfigurationResult& result : earlier.configurations) {
            const std::string name = earlierName(earlier, result);
            if (const stats::MeanOnBasis* mean = result.mean.shown(); mean && mean->interval)
                write(csv, {"earlier mean", name, {}, basisName(mean->basis), ""},
                      budgetTable(mean->lines, *mean->interval));
            if (const auto& comparison = result.comparison; comparison && comparison->interval)
                write(csv,
                      {"earlier difference", name, baseline->name, basisName(result.mean.shown()->basis),
                       basisName(baseline->mean.shown()->basis)},
                      budgetTable(comparison->lines, *comparison->interval));
        }
    return csv.str();
}

} // namespace report
