#pragma once
#include "core/report/chart_model.h"
#include "ui/chart/chart_palette.h"
#include "ui/chart/chart_scene.h"

namespace ui {

/// Size of a chart, and what all of it keeps to: the graphics-safe area of EBU R 95, 5 % on every side.
inline constexpr QSizeF chartSize{1920, 1080};
inline constexpr QRectF chartSafeArea{96, 54, 1728, 972};
/// No text is smaller: capitals of 26 px, which a phone in landscape shows at the 16 minutes of arc that ISO 9241-3
/// asks for.
inline constexpr int smallestChartText = 37;

/// Where everything stands. Lanes get lower as configurations get more: first their two lines become one. Long names
/// wrap. Rows beyond what fits at the smallest text are left out and the footer says how many.
ChartScene layOutChart(const report::ChartModel& model, session::ChartTheme theme);

} // namespace ui
