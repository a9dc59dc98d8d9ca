#pragma once
#include "core/report/card.h"
#include "core/report/chart_model.h"
#include "ui/chart/chart_style.h"
#include "ui/chart/chart_scene.h"

namespace ui {

/// A finding as a picture of its own: name, the figure as large as it fits, its sentence, and below them its row of
/// `chart` (bars for a mean, differences for a comparison) on the axis of all rows, so that cards of one session can be
/// laid over each other. Where it gets tight, notes go, the interval in figures below words, then the row's picture.
ChartScene layOutCard(const report::Card& card, const report::ChartModel& chart, const ChartStyle& style);

} // namespace ui
