#pragma once
#include "core/report/budget_table.h"
#include "ui/results/results_view.h"

#include <QString>

class QMimeData;

namespace ui {

/// The table for the clipboard: the figures as shown, with tabs between, as text, and the machine's table as CSV.
/// The caller owns it.
QMimeData* copiedTable(const ResultsView& view);

/// One uncertainty budget in full precision with tabs between as text, and all budgets of `results` as CSV. The caller
/// owns it.
QMimeData* copiedBudget(const QString& title, const report::BudgetTable& table, const analysis::Results& results);

} // namespace ui
