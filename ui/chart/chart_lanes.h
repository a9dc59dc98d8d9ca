#pragma once
#include "ui/chart/chart_style.h"
#include "ui/chart/chart_rows.h"

namespace ui {

/// A row of the model with the group it stands in.
struct ChartLaneRow {
    const report::ChartRow* row = nullptr;
    int group = 0;
    bool first = false; ///< of its group
};

/// Where a row stands. Units; `top` and `height` of all that belongs to it.
struct ChartLane {
    ChartLaneRow row;
    RowBlock words, value;
    int number = 0; ///< in ChartScene::lanes
    qreal top = 0, height = 0;
};

/// A column of lanes below each other with an axis of its own.
struct LaneColumn {
    qreal left = 0, right = 0;            ///< of all that belongs to it
    qreal wordsWidth = 0, valueWidth = 0; ///< beside the plot; 0 where they stand above it
    qreal plotLeft = 0, plotRight = 0;    ///< x of first and last tick
    qreal top = 0, bottom = 0;            ///< of headings and lanes
    std::vector<ChartLane> lanes;
};

inline QString toText(const std::string& utf8) { return QString::fromStdString(utf8); }
inline constexpr int smallSize = smallestChartText;
inline constexpr qreal headingHeight = 46, axisHeight = 70;
inline constexpr qreal tallestLane = 190, tallestLaneAbove = 260; ///< at scale 1; what is more is air
inline constexpr qreal wordsToForms = 8;                          ///< where words stand above
/// Air that sets a row with its words above apart from the next.
inline qreal belowForms(const Arrangement& arrangement)
{
    return arrangement.detail == Arrangement::Detail::Below ? 24 * arrangement.scale : 14;
}
inline constexpr qreal leastForms = 42, roomyForms = 58, leastFormsAbove = 46;

/// Axis, headings, words, bars, boxes, differences, dots: all of a column.
void placeLanes(ChartScene& scene, const report::ChartModel& model, const ChartStyle& style,
                const Arrangement& arrangement, const std::vector<LaneColumn>& columns);

} // namespace ui
