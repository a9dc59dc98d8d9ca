#pragma once
#include "ui/results/results_view.h"

class QMimeData;

namespace ui {

/// The table for the clipboard: the figures as shown, with tabs between, as text, and the machine's table as CSV.
/// The caller owns it.
QMimeData* copiedTable(const ResultsView& view);

} // namespace ui
