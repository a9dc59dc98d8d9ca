#include "ui/chart/chart_rows.h"

#include <algorithm>

namespace ui {
namespace {

constexpr qreal betweenOnLine = 28, valueGap = 16;
constexpr qreal namePitch = 1.03, detailPitch = 0.95; // of the pixel size: no more than letters with accents take
constexpr qreal widestVerdict = 430;
constexpr int mostNameLines = 4, mostDetailLines = 3, mostVerdictLines = 2;

void addLines(RowBlock& block, const QStringList& texts, ChartPart part, ChartWeight weight, int size, qreal pitch,
              const Typeface& face)
{
    for (const QString& text : texts) {
        const qreal width = face.width(text, weight, size);
        // Letters without accents on capitals reach 0.77 above the baseline; the line's pitch leaves room for the rest.
        block.lines.push_back({text, part, weight, size, 0, block.height + 0.8 * size, width});
        block.width = std::max(block.width, width);
        block.height += pitch * size;
    }
}

/// A detail breaks after its commas only: "3 no reaction" stays on one line.
QString unbroken(QString detail)
{
    return detail.replace(QLatin1Char(' '), QChar::Nbsp).replace(QStringLiteral(",\u00a0"), QStringLiteral(", "));
}

/// What stands at the right of the value; without text where nothing does.
RowLine besideLine(const report::ChartRow& row, const Arrangement& arrangement, const Typeface& face)
{
    const bool verdict = !row.verdict.empty() && arrangement.verdictBeside();
    RowLine line{QString::fromStdString(verdict            ? row.verdict
                                        : arrangement.bare ? std::string()
                                                           : row.beside),
                 verdict ? ChartPart::Verdict : ChartPart::Uncertainty,
                 ChartWeight::Regular,
                 verdict ? arrangement.detailSize() : arrangement.valueSize(),
                 0,
                 0.8 * arrangement.valueSize(),
                 0};
    line.width = line.text.isEmpty() ? 0 : face.width(line.text, line.weight, line.pixelSize);
    return line;
}

} // namespace

QStringList atMost(QStringList wrapped, int lines, ChartWeight weight, qreal pixelSize, qreal width,
                   const Typeface& face, bool& cut)
{
    if (wrapped.size() <= lines)
        return wrapped;
    cut = true;
    wrapped = wrapped.mid(0, lines);
    QString& last = wrapped.back();
    const QChar ellipsis(0x2026);
    while (!last.isEmpty() && face.width(last + ellipsis, weight, pixelSize) > width)
        last.chop(1);
    last = last.trimmed() + ellipsis;
    return wrapped;
}

void addFlowing(QStringList& lines, const std::string& sentence, qreal width, const Typeface& face)
{
    const QString words = QString::fromStdString(sentence);
    const QString both = lines.isEmpty() ? QString() : lines.back() + QLatin1Char(' ') + words;
    if (!both.isEmpty() && face.width(both, ChartWeight::Regular, smallestChartText) <= width)
        lines.back() = both; // every line saved is height for the rows
    else
        lines += face.wrapped(words, ChartWeight::Regular, smallestChartText, width);
}

RowBlock setRowWords(const report::ChartRow& row, const Arrangement& arrangement, qreal widest, const Typeface& face)
{
    using Detail = Arrangement::Detail;
    RowBlock block;
    const auto set = [&](const QString& text, ChartWeight weight, int size, int most) {
        return atMost(face.wrapped(text, weight, size, widest), most, weight, size, widest, face, block.shortened);
    };
    const int nameSize = arrangement.nameSize(), detailSize = arrangement.detailSize();
    addLines(block, set(QString::fromStdString(row.name), ChartWeight::Semibold, nameSize, mostNameLines),
             ChartPart::Name, ChartWeight::Semibold, nameSize, namePitch, face);
    const QString detail = QString::fromStdString(row.detail);
    if (arrangement.detail == Detail::Counts || detail.isEmpty())
        return block;
    const qreal detailWidth = face.width(detail, ChartWeight::Regular, detailSize);
    const qreal beside = block.lines.empty() ? 0 : block.lines.back().width + betweenOnLine + detailWidth;
    if (arrangement.detail == Detail::Beside && !block.lines.empty() && beside <= widest) {
        const RowLine& last = block.lines.back();
        block.lines.push_back({detail, ChartPart::Detail, ChartWeight::Regular, detailSize, last.width + betweenOnLine,
                               last.y, detailWidth});
        block.width = std::max(block.width, beside);
        block.detailBeside = true;
        return block;
    }
    addLines(block, set(unbroken(detail), ChartWeight::Regular, detailSize, mostDetailLines), ChartPart::Detail,
             ChartWeight::Regular, detailSize, detailPitch, face);
    return block;
}

qreal besideWidth(const report::ChartRow& row, const Arrangement& arrangement, const Typeface& face)
{
    return besideLine(row, arrangement, face).width;
}

RowBlock setRowValue(const report::ChartRow& row, const Arrangement& arrangement, qreal besideWidth,
                     const Typeface& face)
{
    RowBlock block;
    if (row.value.empty())
        return block;
    const int size = arrangement.valueSize(), verdictSize = arrangement.detailSize();
    const QString value = QString::fromStdString(row.value);
    const qreal valueWidth = face.width(value, ChartWeight::Bold, size);
    const qreal rest = besideWidth > 0 ? valueGap + besideWidth : 0;
    block.lines.push_back({value, ChartPart::Value, ChartWeight::Bold, size, 0, 0.8 * size, valueWidth});
    if (const RowLine beside = besideLine(row, arrangement, face); !beside.text.isEmpty())
        block.lines.push_back(beside);
    block.width = valueWidth + rest;
    block.height = namePitch * size;
    if (!row.verdict.empty() && !arrangement.verdictBeside())
        addLines(
            block,
            atMost(face.wrapped(QString::fromStdString(row.verdict), ChartWeight::Regular, verdictSize, widestVerdict),
                   mostVerdictLines, ChartWeight::Regular, verdictSize, widestVerdict, face, block.shortened),
            ChartPart::Verdict, ChartWeight::Regular, verdictSize, detailPitch, face);
    for (RowLine& line : block.lines) // from the right
        line.x = block.width - line.width - (line.part == ChartPart::Value ? rest : 0);
    return block;
}

} // namespace ui
