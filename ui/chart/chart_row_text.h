#pragma once
#include "core/report/chart_model.h"
#include "ui/chart/chart_scene.h"
#include "ui/chart/chart_text.h"
#include <vector>

namespace ui {

inline constexpr int chartNameSize = 40;

/// How the words at the left of the lanes are set.
struct RowTextStyle {
    bool detailBeside = false; ///< the detail stands at the right of the name's last line where both fit, else below it
    qreal widest = 0;          ///< > 0; longer words wrap
};

/// One line of words of a row, `y` from the top of the block to the baseline.
struct RowLine {
    QString text;
    ChartPart part = ChartPart::Name;
    ChartWeight weight = ChartWeight::Regular;
    int pixelSize = 0;
    qreal y = 0, width = 0;
    bool right = false; ///< ends at the right edge of the column instead of starting at its left
};

/// Name and detail of a row, set.
struct RowText {
    std::vector<RowLine> lines;
    qreal width = 0, height = 0;
    bool detailBeside = false;
    bool shortened = false; ///< even wrapped it takes more lines than a lane may have
};
RowText setRowText(const report::ChartRow& row, const RowTextStyle& style);

/// At most `lines` lines; the last one ends with an ellipsis where there were more. `cut` is set then, else left alone.
QStringList atMost(QStringList wrapped, int lines, ChartWeight weight, qreal pixelSize, qreal width, bool& cut);

} // namespace ui
