#include "ui/chart/chart_row_text.h"
#include "ui/chart/chart_layout.h"

#include <algorithm>

namespace ui {
namespace {

constexpr int detailSize = smallestChartText;
constexpr qreal namePitch = 41, detailPitch = 35;
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

/// A detail breaks after its commas only: "3 no reaction" stays on one line.
std::string unbroken(const std::string& detail)
{
    QString text = QString::fromStdString(detail);
    text.replace(QLatin1Char(' '), QChar::Nbsp).replace(QStringLiteral(",\u00a0"), QStringLiteral(", "));
    return text.toStdString();
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
    const auto set = [&](const std::string& text, ChartWeight weight, int size, int most) {
        return atMost(chartWrapped(QString::fromStdString(text), weight, size, style.widest), most, weight, size,
                      style.widest, block.shortened);
    };
    addLines(block, set(row.name, ChartWeight::Semibold, chartNameSize, mostNameLines), ChartPart::Name,
             ChartWeight::Semibold, chartNameSize, namePitch);
    const QString detail = QString::fromStdString(row.detail);
    const qreal detailWidth = chartWidth(detail, ChartWeight::Regular, detailSize);
    const qreal beside = block.lines.empty() ? 0 : block.lines.back().width + betweenOnLine + detailWidth;
    if (style.detailBeside && !block.lines.empty() && !detail.isEmpty() && beside <= style.widest) {
        block.lines.push_back(
            {detail, ChartPart::Detail, ChartWeight::Regular, detailSize, block.lines.back().y, detailWidth, true});
        block.width = std::max(block.width, beside);
        block.detailBeside = true;
        return block;
    }
    addLines(block, set(unbroken(row.detail), ChartWeight::Regular, detailSize, mostDetailLines), ChartPart::Detail,
             ChartWeight::Regular, detailSize, detailPitch);
    return block;
}

} // namespace ui
