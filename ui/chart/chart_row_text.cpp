#include "ui/chart/chart_row_text.h"
#include "ui/chart/chart_layout.h"

#include <algorithm>

namespace ui {
namespace {

constexpr int detailSize = smallestChartText;
constexpr qreal namePitch = 44, detailPitch = 41;
constexpr qreal betweenOnLine = 28;
constexpr int mostNameLines = 4, mostDetailLines = 3;

void addLines(RowText& block, const QStringList& texts, ChartPart part, ChartWeight weight, int size, qreal pitch)
{
    for (const QString& text : texts) {
        const qreal width = chartWidth(text, weight, size);
        // Letters without accents on capitals reach 0.77 above the baseline; the line's pitch leaves room for the rest.
        block.lines.push_back({text, part, weight, size, block.height + 0.8 * size, width, false});
        block.width = std::max(block.width, width);
        block.height += pitch;
    }
}

} // namespace

QStringList atMost(QStringList wrapped, int lines, ChartWeight weight, qreal pixelSize, qreal width, bool& cut)
{
    if (wrapped.size() <= lines)
        return wrapped;
    cut = true;
    wrapped = wrapped.mid(0, lines);
    QString& last = wrapped.back();
    const QChar ellipsis(0x2026);
    while (!last.isEmpty() && chartWidth(last + ellipsis, weight, pixelSize) > width)
        last.chop(1);
    last = last.trimmed() + ellipsis;
    return wrapped;
}

RowText setRowText(const report::ChartRow& row, const RowTextStyle& style)
{
    RowText block;
    const QString name = QString::fromStdString(row.name), detail = QString::fromStdString(row.detail);
    const qreal nameWidth = chartWidth(name, ChartWeight::Semibold, chartNameSize);
    const qreal detailWidth = chartWidth(detail, ChartWeight::Regular, detailSize);
    if (style.oneLine && nameWidth + betweenOnLine + detailWidth <= style.widest) {
        const qreal y = 0.8 * chartNameSize;
        block.lines.push_back({name, ChartPart::Name, ChartWeight::Semibold, chartNameSize, y, nameWidth, false});
        if (!detail.isEmpty())
            block.lines.push_back({detail, ChartPart::Detail, ChartWeight::Regular, detailSize, y, detailWidth, true});
        block.width = nameWidth + (detail.isEmpty() ? 0 : betweenOnLine + detailWidth);
        block.height = namePitch;
        return block;
    }
    const auto set = [&](const QString& text, ChartWeight weight, int size, int most) {
        return atMost(chartWrapped(text, weight, size, style.widest), most, weight, size, style.widest, block.shortened);
    };
    addLines(block, set(name, ChartWeight::Semibold, chartNameSize, mostNameLines), ChartPart::Name, ChartWeight::Semibold,
             chartNameSize, namePitch);
    addLines(block, set(detail, ChartWeight::Regular, detailSize, mostDetailLines), ChartPart::Detail, ChartWeight::Regular,
             detailSize, detailPitch);
    return block;
}

} // namespace ui
