#pragma once
#include "ui/chart/chart_style.h"
#include "ui/chart/chart_rows.h"

namespace ui {

/// Where everything stands. Few rows get larger bars and words, many get tighter lanes, two columns where the picture
/// is wide, and then further pictures ("2 of 3") with the same axis; none is left out. The method's lines move to a
/// picture of their own, the last, where the style says so or rows would not fit otherwise. Long names wrap.
/// One or more scenes, in order.
std::vector<ChartScene> layOutChart(const report::ChartModel& model, const ChartStyle& style);

/// The same scene with the first `lanes` configurations of `order` alone: places stay as they are. What belongs to the
/// baseline's line comes with its lane.
ChartScene builtUp(const ChartScene& scene, const std::vector<session::ConfigurationId>& order, std::size_t lanes,
                   session::ConfigurationId baseline);

} // namespace ui
