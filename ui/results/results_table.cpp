#include "ui/results/results_table.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/report/in_short.h"
#include "core/report/sentences.h"
#include "ui/chart/dot_stack.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"
#include "ui/look/key_cap.h"
#include "ui/look/shapes.h"

#include <QPainter>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int headerHeight = 44, resultsTableRowHeight = 60;
constexpr double dot = 6;
constexpr int glyphWidth = 52;

QString text(const std::string& utf8) { return QString::fromStdString(utf8); }

QString fixed(const std::optional<double>& value, int decimals)
{
    return value ? QString::number(*value, 'f', decimals) : QString();
}

void drawRight(QPainter& painter, int right, const QRect& rect, const QString& words,
               Qt::Alignment vertical = Qt::AlignVCenter)
{
    painter.drawText(QRect(right - 400, rect.top(), 400, rect.height()), int(Qt::AlignRight | vertical), words);
}

/// Where the columns of the results table stand. Right edges, in pixels; words of a column end there or start at its
/// left.
struct ResultsColumns {
    int name = 0; ///< width of the names
    int plotLeft = 0, plotRight = 0;
    int trials = 0, mean = 0;                          ///< right edges
    int median = 0, sd = 0, range = 0, difference = 0; ///< the same, of all figures
    int verdict = 0, right = 0;                        ///< left and right edge: what it says in short, or a verdict
    static ResultsColumns of(int width, bool allFigures);
};

ResultsColumns ResultsColumns::of(int width, bool allFigures)
{
    const bool wide = width >= 1600;
    ResultsColumns c;
    c.right = width - grid::padding;
    c.name = wide ? 250 : 196;
    if (allFigures) {
        c.verdict = c.right - (wide ? 320 : 226);
        c.difference = c.verdict - (wide ? 28 : 16);
        c.range = c.difference - (wide ? 220 : 148);
        c.sd = c.range - (wide ? 150 : 104);
        c.median = c.sd - (wide ? 80 : 52);
        c.mean = c.median - (wide ? 96 : 60);
    } else {
        c.verdict = c.right - (wide ? 720 : 480);
        c.mean = c.verdict - (wide ? 36 : 20);
    }
    c.trials = c.mean - (wide ? 130 : 96);
    c.plotLeft = c.name + (wide ? 44 : 28);
    c.plotRight = c.trials - (wide ? 100 : 78);
    return c;
}

/// One row, painted from left to right.
struct RowPainter {
    QPainter& painter;
    QRect rect;
    int row;
    bool selected, allFigures;
    const ResultsView& view;
    const std::optional<ValueAxis>& axis;
    const analysis::ConfigurationResult& result = view.results->configurations[static_cast<std::size_t>(row)];
    const ResultsColumns c = ResultsColumns::of(rect.width(), allFigures);
    const Tokens& t = tokens();

    void paintName();
    void paintPlot();
    void paintFigures();
    void paintMoreFigures();
    int paintGlyph(); ///< where words begin
    void paintInShort();
    void paintVerdict();
};

void RowPainter::paintName()
{
    const QRect inside = rect.adjusted(grid::padding, 0, 0, 0);
    if (row < 9)
        paintKeyCaps(painter, QRectF(inside.left(), rect.top(), 24, rect.height()), {QString::number(row + 1)});
    const session::Configuration* configuration = session::find(*view.document, result.configuration);
    QString second = configuration ? text(configuration->group) : QString();
    if (result.baseline)
        second = second.isEmpty() ? ResultsTable::tr("baseline") : ResultsTable::tr("%1, baseline").arg(second);
    const QRect words(inside.left() + 30, rect.top() + 10, c.name - 30 - grid::padding, rect.height() - 20);
    setLettering(painter, Text::Body, t.text1, QFont::DemiBold);
    drawShortened(painter, words, int(second.isEmpty() ? Qt::AlignVCenter : Qt::AlignTop) | Qt::AlignLeft,
                  text(result.name));
    setLettering(painter, Text::Caption, t.text2);
    drawShortened(painter, words, Qt::AlignBottom | Qt::AlignLeft, second);
}

void RowPainter::paintPlot()
{
    if (result.n == 0) {
        QString words = text(report::noMeanWords(result));
        for (const analysis::FrameCounts& counts : result.frameCounts)
            words += counts.least == counts.most
                         ? ResultsTable::tr(": %1 camera frames").arg(counts.least)
                         : ResultsTable::tr(": %1 to %2 camera frames").arg(counts.least).arg(counts.most);
        setLettering(painter, Text::State, t.text2);
        const bool clock = result.clockNotSettled > 0;
        if (clock)
            paintShape(painter, Shape::ClockUnknown, QRectF(c.plotLeft - 16, rect.top(), 12, rect.height()), t,
                       t.text2);
        const QRect place(c.plotLeft - 16 + (clock ? 20 : 0), rect.top(), c.plotRight - c.plotLeft + 16, rect.height());
        drawShortened(painter, place, Qt::AlignLeft | Qt::AlignVCenter, words);
        return;
    }
    const auto x = [&](double ms) { return axis->place(ms, c.plotLeft, c.plotRight); };
    for (const double tick : axis->ticks())
        painter.fillRect(QRect(qRound(x(tick)), rect.top(), 1, rect.height()), t.hairline);
    if (const analysis::ConfigurationResult* baseline = analysis::find(*view.results, view.results->baseline))
        if (const stats::MeanOnBasis* mean = baseline->mean.shown()) {
            // Dots keep their rhythm from row to row.
            for (int y = rect.top() + (4 - rect.top() % 4) % 4; y < rect.bottom(); y += 4)
                painter.fillRect(QRect(qRound(x(mean->estimateMs)) - 1, y, 2, 2), t.text2);
        }

    const double dotsTop = rect.top() + 4, dotsBottom = rect.bottom() - 20;
    std::vector<double> places;
    for (const double ms : result.delaysMs)
        places.push_back(x(ms));
    const std::vector<double> offsets = stackDots(places, dot + 1, (dotsBottom - dotsTop - dot) / 2);
    painter.setPen(Qt::NoPen);
    painter.setBrush(t.text2);
    for (std::size_t i = 0; i < places.size(); ++i)
        painter.drawEllipse(QPointF(places[i], (dotsTop + dotsBottom) / 2 + offsets[i]), dot / 2, dot / 2);

    const stats::MeanOnBasis* mean = result.mean.shown();
    const double y = rect.bottom() - 12;
    painter.setBrush(t.text1);
    if (mean->interval) {
        const double low = x(mean->interval->low()), high = x(mean->interval->high());
        painter.fillRect(QRectF(low, y - 1, high - low, 2), t.text1);
        painter.fillRect(QRectF(low - 1, y - 5, 2, 10), t.text1);
        painter.fillRect(QRectF(high - 1, y - 5, 2, 10), t.text1);
    }
    painter.drawEllipse(QPointF(x(mean->estimateMs), y), 3, 3);
}

void RowPainter::paintFigures()
{
    QStringList left;
    if (result.rejected > 0)
        left << ResultsTable::tr("%1 rejected").arg(result.rejected);
    if (result.noReaction > 0)
        left << ResultsTable::tr("%1 no reaction").arg(result.noReaction);
    const int others = result.notRead + result.clockNotSettled + result.noDelay;
    if (others > 0)
        left << ResultsTable::tr("%1 not in").arg(others);
    setLettering(painter, Text::Body, t.text1);
    const int lines = static_cast<int>(left.size());
    const int top = rect.center().y() - 8 - 7 * lines;
    drawRight(painter, c.trials, QRect(0, top, rect.width(), 18), QString::number(result.n));
    setLettering(painter, Text::Caption, selected ? t.text2 : t.text3);
    for (int i = 0; i < lines; ++i)
        drawRight(painter, c.trials, QRect(0, top + 18 + 14 * i, rect.width(), 14), left[i]);

    const std::optional<analysis::Figure> figure = analysis::meanFigure(result);
    if (!figure)
        return;
    QRect halfWidth(0, rect.top(), c.mean, rect.height());
    setLettering(painter, Text::Body, t.text2);
    const QString uncertainty =
        figure->halfWidth.empty() ? QString() : QStringLiteral(" \u00b1 %1").arg(text(figure->halfWidth));
    painter.drawText(halfWidth, Qt::AlignRight | Qt::AlignVCenter, uncertainty);
    halfWidth.setRight(halfWidth.right() - painter.fontMetrics().horizontalAdvance(uncertainty));
    setLettering(painter, Text::Body, t.text1, QFont::Bold);
    painter.drawText(halfWidth, Qt::AlignRight | Qt::AlignVCenter, text(figure->value));
}

void RowPainter::paintMoreFigures()
{
    const std::optional<analysis::Figure> figure = analysis::meanFigure(result);
    if (!figure)
        return;
    setLettering(painter, Text::Body, t.text1);
    drawRight(painter, c.median, rect, fixed(result.summary.median, figure->decimals));
    drawRight(painter, c.sd, rect, fixed(result.summary.sd, figure->decimals));
    drawRight(painter, c.range, rect,
              ResultsTable::tr("%1 to %2")
                  .arg(fixed(result.summary.min, figure->decimals), fixed(result.summary.max, figure->decimals)));
    const std::optional<analysis::Figure> difference = analysis::differenceFigure(*view.results, result);
    if (!difference)
        return;
    QRect ends(0, rect.top(), c.difference, rect.height());
    setLettering(painter, Text::State, t.text2);
    const QString interval = difference->low.empty()
                                 ? QString()
                                 : ResultsTable::tr("  %1 to %2").arg(text(difference->low), text(difference->high));
    painter.drawText(ends, Qt::AlignRight | Qt::AlignVCenter, interval);
    ends.setRight(ends.right() - painter.fontMetrics().horizontalAdvance(interval));
    setLettering(painter, Text::Body, t.text1, QFont::Bold);
    painter.drawText(ends, Qt::AlignRight | Qt::AlignVCenter, text(difference->value));
}

int RowPainter::paintGlyph()
{
    int left = c.verdict;
    if (result.comparison && result.comparison->interval) {
        const stats::Expanded& interval = *result.comparison->interval;
        const double margin = view.results->marginMs.value_or(0);
        // Each row to its own scale: what counts is how the interval lies to 0 and to the band.
        const double reach =
            std::max({2 * margin, 1.15 * std::abs(interval.low()), 1.15 * std::abs(interval.high()), 1e-9});
        const QRectF glyph(left, rect.center().y() - 9, glyphWidth, 18);
        if (selected) // the margin's band has the colour of a selected row
            painter.fillRect(glyph.adjusted(-4, -2, 4, 2), t.panel);
        VerdictGlyph drawn{interval.low(), interval.high(), margin, -reach, reach};
        if (result.comparison->verdict == stats::Verdict::SameWithinMargin) {
            drawn.sameLow = result.comparison->equivalence->low();
            drawn.sameHigh = result.comparison->equivalence->high();
        }
        ui::paintVerdict(painter, glyph, drawn, t);
        left += glyphWidth + 10;
    }
    return left;
}

void RowPainter::paintInShort()
{
    const int left = paintGlyph();
    const report::InShort words = report::inShort(*view.results, result);
    const int width = c.right - left;
    const QString missing = text(words.missing);
    const int wraps = int(Qt::AlignLeft | Qt::AlignTop) | Qt::TextWordWrap;
    const auto linesOf = [&](const QString& sentence) {
        const int line = painter.fontMetrics().lineSpacing();
        const int all = painter.boundingRect(QRect(0, 0, width, 1000), wraps, sentence).height() / line;
        return std::pair(std::clamp(all, sentence.isEmpty() ? 0 : 1, 2), line);
    };
    painter.setFont(ui::font(Text::Caption));
    const auto [missingLines, missingLine] = linesOf(missing);
    painter.setFont(ui::font(Text::Body, result.comparison ? QFont::DemiBold : QFont::Normal));
    const auto [saysLines, saysLine] = linesOf(text(words.says));
    const int below = std::min(missingLines, 3 - saysLines); // three lines are as many as a row holds
    int top = rect.top() + (rect.height() - saysLines * saysLine - below * missingLine) / 2;
    painter.setPen(result.comparison ? t.text1 : t.text2);
    painter.drawText(QRect(left, top, width, saysLines * saysLine), wraps, text(words.says));
    top += saysLines * saysLine;
    setLettering(painter, Text::Caption, t.text2);
    if (below == 1)
        painter.drawText(QRect(left, top, width, missingLine), Qt::AlignLeft | Qt::AlignTop,
                         painter.fontMetrics().elidedText(missing, Qt::ElideRight, width));
    else
        painter.drawText(QRect(left, top, width, below * missingLine), wraps, missing);
}

void RowPainter::paintVerdict()
{
    const int left = paintGlyph();
    QStringList notes;
    if (result.comparison && result.comparison->interim && result.n > 0)
        notes << ResultsTable::tr("interim");
    if (report::ofTheseRunsOnly(*view.results, result))
        notes << ResultsTable::tr("these runs only");
    const bool noted = !notes.isEmpty();
    setLettering(painter, Text::Body, result.comparison ? t.text1 : t.text2,
                 result.comparison ? QFont::DemiBold : QFont::Normal);
    const QString words = text(report::verdictWords(*view.results, result));
    const QRect place(left, rect.top() + 4, c.right - left, rect.height() - 8 - (noted ? 16 : 0));
    painter.drawText(place, int(Qt::AlignLeft) | int(noted ? Qt::AlignBottom : Qt::AlignVCenter) | Qt::TextWordWrap,
                     words);
    if (noted) {
        setLettering(painter, Text::Caption, t.attention);
        paintShape(painter, Shape::Warning, QRectF(left, place.bottom() + 1, 12, 16), t);
        painter.drawText(QRect(left + 16, place.bottom() + 1, c.right - left - 16, 16),
                         Qt::AlignLeft | Qt::AlignVCenter, notes.join(QStringLiteral(", ")));
    }
}

} // namespace

ResultsTable::ResultsTable(QWidget* parent) : QWidget(parent)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, headerHeight, 0, 0);
    m_list = new RowList(resultsTableRowHeight, [this](QPainter& painter, const QRect& rect, int row, bool selected) {
        RowPainter paint{painter, rect, row, selected, m_allFigures, m_view, m_axis};
        paint.paintName();
        paint.paintPlot();
        paint.paintFigures();
        if (!m_allFigures)
            return paint.paintInShort();
        paint.paintMoreFigures();
        paint.paintVerdict();
    });
    m_list->setAccessibleName(tr("Results by configuration"));
    column->addWidget(m_list);
    connect(m_list, &RowList::rowChosen, this, [this](int row) {
        if (row >= 0 && row < std::ssize(m_view.results->configurations))
            emit chosen(m_view.results->configurations[static_cast<std::size_t>(row)].configuration);
    });
    setMinimumHeight(headerHeight + 2 * resultsTableRowHeight);
}

void ResultsTable::show(const ResultsView& view)
{
    m_view = view;
    measureAxis();
    QStringList spoken;
    int selected = -1;
    for (const analysis::ConfigurationResult& result : m_view.results->configurations) {
        if (result.configuration == m_view.selected)
            selected = static_cast<int>(spoken.size());
        const report::InShort words = report::inShort(*m_view.results, result);
        spoken << tr("%1: %2 %3").arg(text(result.name), text(words.says), text(words.missing)).trimmed();
    }
    m_list->setRows(spoken);
    m_list->selectRow(selected);
    setMaximumHeight(headerHeight + std::max(2, int(spoken.size())) * resultsTableRowHeight + grid::unit);
    update();
}

void ResultsTable::showAllFigures(bool all)
{
    m_allFigures = all;
    m_list->viewport()->update();
    update();
}

void ResultsTable::measureAxis()
{
    double least = std::numeric_limits<double>::infinity(), most = -least;
    const auto hold = [&](double value) {
        least = std::min(least, value);
        most = std::max(most, value);
    };
    for (const analysis::ConfigurationResult& result : m_view.results->configurations) {
        std::ranges::for_each(result.delaysMs, hold);
        if (const stats::MeanOnBasis* shown = result.mean.shown(); shown && shown->interval) {
            hold(shown->interval->low());
            hold(shown->interval->high());
        }
    }
    m_axis = least <= most ? std::optional(valueAxis(least, most, 7)) : std::nullopt;
}

void ResultsTable::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    const Tokens& t = tokens();
    painter.fillRect(rect(), t.panel);
    painter.fillRect(QRect(0, headerHeight - 1, width(), 1), t.hairline);
    const ResultsColumns c = ResultsColumns::of(m_list->viewport()->width(), m_allFigures);
    const QRect words(0, 4, width(), 18);
    setLettering(painter, Text::Caption, t.text2);
    painter.drawText(words.adjusted(grid::padding, 0, 0, 0), Qt::AlignLeft | Qt::AlignVCenter, tr("Configuration"));
    const QString level = text(analysis::percent(m_view.results->level));
    painter.drawText(QRect(c.plotLeft - 16, 4, c.plotRight - c.plotLeft + 60, 18), Qt::AlignLeft | Qt::AlignVCenter,
                     tr("Every trial, mean with %1 interval, ms").arg(level));
    drawRight(painter, c.trials, words, tr("Trials"));
    drawRight(painter, c.mean, words, tr("Mean \u00b1 %1").arg(level));
    if (m_allFigures) {
        drawRight(painter, c.median, words, tr("Median"));
        drawRight(painter, c.sd, words, tr("SD"));
        drawRight(painter, c.range, words, tr("Min to max"));
        drawRight(painter, c.difference, words, tr("Difference to baseline"));
    }
    painter.drawText(QRect(c.verdict, 4, c.right - c.verdict, 18), Qt::AlignLeft | Qt::AlignVCenter,
                     m_allFigures ? tr("Verdict") : tr("In short"));
    if (!m_axis)
        return;
    for (const double tick : m_axis->ticks()) {
        const int x = qRound(m_axis->place(tick, c.plotLeft, c.plotRight));
        painter.drawText(QRect(x - 40, 24, 80, 18), Qt::AlignHCenter | Qt::AlignVCenter, m_axis->label(tick));
    }
}

} // namespace ui
