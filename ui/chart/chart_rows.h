#pragma once
#include "core/report/chart_model.h"
#include "ui/chart/chart_style.h"
#include "ui/chart/chart_scene.h"
#include <algorithm>
#include <vector>

namespace ui {

/// How the rows of a chart are arranged, tried from roomy to tight.
struct Arrangement {
    enum class Detail {
        Below,  ///< name
        Beside, ///< at the right of the name's last line where both fit, else below
        Counts, ///< ChartRow::counts alone, at the right of the words
    };
    bool above = false; ///< words stand above bar and dots, else at their left
    Detail detail = Detail::Below;
    int columns = 1;
    qreal widest = 460; ///< words beside; above: all that the value leaves
    qreal scale = 1;    ///< of words and forms; below 1: 0.8, words as small as they may be
    bool alike = true;  ///< rows that look alike or not at all
    bool bare = false;  ///< the value alone: its interval, quartiles are drawn only

    int nameSize() const { return sized(40, 12); }
    int valueSize() const { return sized(46, 24); }
    int detailSize() const { return std::max(sized(37, 6), smallestChartText); }
    /// The verdict stands beside the figure instead of below it.
    bool verdictBeside() const { return detail == Detail::Counts || (!above && detail != Detail::Below); }

private:
    int sized(int at1, int more) const { return at1 + qRound(more * (scale - 1) / 0.8); }
};

/// One line of words of a row, `y` from the top of the block to the baseline, `x` from its left.
struct RowLine {
    QString text;
    ChartPart part = ChartPart::Name;
    ChartWeight weight = ChartWeight::Regular;
    int pixelSize = 0;
    qreal x = 0, y = 0, width = 0;
};

/// Words of a row, set.
struct RowBlock {
    std::vector<RowLine> lines;
    qreal width = 0, height = 0;
    bool detailBeside = false;
    bool shortened = false; ///< even wrapped it takes more lines than a lane may have
};
/// Name and detail; `counts` at the right is not among them.
RowBlock setRowWords(const report::ChartRow& row, const Arrangement& arrangement, qreal widest, const Typeface& face);
/// Value with what stands beside it, verdict below. Lines end at the block's right edge; `besideWidth` is the widest of
/// all rows, so that values stand below each other.
RowBlock setRowValue(const report::ChartRow& row, const Arrangement& arrangement, qreal besideWidth,
                     const Typeface& face);
qreal besideWidth(const report::ChartRow& row, const Arrangement& arrangement, const Typeface& face);

/// At most `lines` lines; the last one ends with an ellipsis where there were more. `cut` is set then, else left alone.
QStringList atMost(QStringList wrapped, int lines, ChartWeight weight, qreal pixelSize, qreal width,
                   const Typeface& face, bool& cut);
/// The sentence goes on on the last of the lines, regular and as small as may be, where it fits there, else below.
void addFlowing(QStringList& lines, const std::string& sentence, qreal width, const Typeface& face);

} // namespace ui
