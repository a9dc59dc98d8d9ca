#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_row_text.h"
#include "ui/chart/dot_stack.h"

#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int titleSize = 58, subtitleSize = 38, valueSize = 46, smallSize = smallestChartText;
constexpr qreal footerPitch = 44, headingHeight = 46, axisHeight = 70;
constexpr qreal columnGap = 36, valueGap = 12;
constexpr qreal leastGroupGap = 10, mostGroupGap = 28, leastRowGap = 10;
constexpr qreal highestLane = 150, barThickness = 28, thinnestBar = 14;
constexpr qreal lowestLane = 42;
constexpr qreal dotDiameter = 13, smallestDot = 5, ring = 2;
constexpr qreal intervalThickness = 5;
constexpr int mostTitleLines = 2, mostFooterLines = 6;

QString text(const std::string& utf8) { return QString::fromStdString(utf8); }

/// A row of the model with the group it stands in.
struct Row {
    const report::ChartRow* row;
    int group;
    bool first; ///< of its group
};

class Layout {
public:
    Layout(const report::ChartModel& model, session::ChartTheme theme) : m_model(model), m_palette(chartPalette(theme))
    {
        m_scene.size = chartSize;
        m_scene.background = m_palette.background;
        int number = 0;
        for (const report::ChartGroup& group : model.groups) {
            for (const report::ChartRow& row : group.rows)
                m_rows.push_back({&row, number, &row == &group.rows.front()});
            ++number;
        }
    }

    ChartScene make()
    {
        placeHeader();
        fitRows();
        placeFooter();
        measureColumns();
        placeLanes();
        return std::move(m_scene);
    }

private:
    void addWords(QString words, ChartPart part, ChartWeight weight, int size, const QColor& colour, QPointF baseline,
                  int lane = -1)
    {
        if (words.isEmpty())
            return;
        QPainterPath outline = chartLine(words, weight, size).outline;
        outline.translate(baseline);
        const QRectF box = outline.boundingRect();
        words.replace(QChar::Nbsp, QLatin1Char(' '));
        m_scene.pieces.push_back({ChartPiece::Form::Words, part, colour, box, std::move(outline), words, size, lane});
    }

    void addForm(ChartPiece::Form form, ChartPart part, const QColor& colour, const QRectF& box, int lane = -1)
    {
        m_scene.pieces.push_back({form, part, colour, box, {}, {}, 0, lane});
    }

    /// Largest size of `sizes` at which the words take few enough lines; the smallest cuts what is left over.
    void placeHeading(const std::string& words, ChartPart part, ChartWeight weight, std::initializer_list<int> sizes,
                      qreal pitch, const QColor& colour)
    {
        QStringList lines;
        int size = 0;
        for (const int candidate : sizes) {
            size = candidate;
            lines = chartWrapped(text(words), weight, size, chartSafeArea.width());
            if (lines.size() <= mostTitleLines)
                break;
        }
        bool cut = false;
        lines = atMost(lines, mostTitleLines, weight, size, chartSafeArea.width(), cut);
        if (cut)
            m_scene.shortened << text(words);
        for (const QString& line : std::as_const(lines)) {
            addWords(line, part, weight, size, colour, {chartSafeArea.left(), m_top + chartAscent * size});
            m_top += pitch * size;
        }
    }

    void placeHeader()
    {
        m_top = chartSafeArea.top();
        placeHeading(m_model.title, ChartPart::Title, ChartWeight::Bold, {titleSize, 50, 44}, 1.2, m_palette.text);
        placeHeading(m_model.subtitle, ChartPart::Subtitle, ChartWeight::Regular, {subtitleSize, smallSize}, 1.25,
                     m_palette.quietText);
        m_top += 18;
    }

    QStringList footerLines(std::size_t leftOut) const
    {
        QStringList sentences;
        for (const std::string& line : m_model.footer)
            sentences += text(line);
        if (leftOut > 0)
            sentences +=
                leftOut == 1
                    ? QStringLiteral("1 more configuration doesn't fit here; the table has it.")
                    : QStringLiteral("%1 more configurations don't fit here; the table has them.").arg(leftOut);
        QStringList lines;
        for (const QString& sentence : std::as_const(sentences)) {
            const QString both = lines.isEmpty() ? QString() : lines.back() + QLatin1Char(' ') + sentence;
            if (!both.isEmpty() && chartWidth(both, ChartWeight::Regular, smallSize) <= chartSafeArea.width())
                lines.back() = both; // every line saved is height for the rows
            else
                lines += chartWrapped(sentence, ChartWeight::Regular, smallSize, chartSafeArea.width());
        }
        return lines;
    }

    qreal headingsHeight(std::size_t rows) const
    {
        qreal height = 0;
        for (std::size_t i = 0; i < rows; ++i)
            if (m_rows[i].first)
                height += headingAbove(i);
        return height;
    }

    /// Room above a row that begins a group: its name's line; the first one holds the column heading as well.
    qreal headingAbove(std::size_t i) const
    {
        const bool named = !m_model.groups[static_cast<std::size_t>(m_rows[i].group)].name.empty();
        if (i == 0)
            return named || !m_model.valueHeading.empty() ? headingHeight : 0;
        return m_groupGap + (named ? headingHeight : 0);
    }

    /// Takes the first style and the most rows that fit.
    void fitRows()
    {
        struct Candidate {
            RowTextStyle text;
            bool uniform; ///< rows that look alike or not at all
        };
        constexpr Candidate candidates[] = {{{false, 460}, true}, {{false, 640}, true},  {{true, 620}, true},
                                            {{true, 860}, true},  {{false, 460}, false}, {{false, 640}, false},
                                            {{true, 620}, false}, {{true, 860}, false}};
        const qreal axis = m_model.ticks.empty() ? 16 : axisHeight;
        // More lanes than there is height for needn't be tried.
        const auto most = static_cast<std::size_t>(chartSafeArea.height() / lowestLane);
        for (std::size_t leftOut = m_rows.size() - std::min(m_rows.size(), most); leftOut <= m_rows.size(); ++leftOut) {
            const std::size_t shown = m_rows.size() - leftOut;
            const auto footer = std::min<qsizetype>(footerLines(leftOut).size(), mostFooterLines);
            m_bottom = chartSafeArea.bottom() - static_cast<qreal>(footer) * footerPitch - axis;
            const qreal room = m_bottom - m_top - headingsHeight(shown);
            for (const Candidate& candidate : candidates) {
                m_texts.clear();
                m_laneHeights.clear();
                qreal needed = 0;
                bool alike = true;
                for (std::size_t i = 0; i < shown; ++i) {
                    m_texts.push_back(setRowText(*m_rows[i].row, candidate.text));
                    m_laneHeights.push_back(std::max(lowestLane, m_texts.back().height));
                    needed += m_laneHeights.back();
                    alike = alike
                            && (m_rows[i].row->detail.empty()
                                || (m_texts.back().detailBeside == candidate.text.detailBeside
                                    && m_texts.back().lines.size() == 2));
                }
                if (needed > room || (candidate.uniform && !alike))
                    continue;
                m_scene.rowsLeftOut = static_cast<int>(leftOut);
                m_rows.resize(shown);
                shareOut(room - needed);
                return;
            }
        }
    }

    /// Spare height sets groups apart and goes to the lanes in equal parts, up to where dots and bar would drift apart.
    void shareOut(qreal spare)
    {
        if (m_laneHeights.empty())
            return;
        if (const auto gaps = std::count_if(m_rows.begin() + 1, m_rows.end(), [](const Row& row) { return row.first; });
            gaps > 0) {
            const qreal betweenRows =
                leastRowGap * static_cast<qreal>(m_laneHeights.size()); // first, rows have to stand apart
            const qreal wider =
                std::clamp((spare - betweenRows) / 2 / static_cast<qreal>(gaps), 0.0, mostGroupGap - leastGroupGap);
            m_groupGap += wider;
            spare -= wider * static_cast<qreal>(gaps);
        }
        const qreal each = spare / static_cast<qreal>(m_laneHeights.size());
        for (qreal& height : m_laneHeights) {
            const qreal grown = std::max(height, std::min(height + each, highestLane));
            spare -= grown - height;
            height = grown;
        }
        // What no lane takes goes above and below, a third to two thirds: the eye puts the middle higher than it is.
        m_top += spare / 3;
        m_bottom -= spare * 2 / 3;
    }

    void placeFooter()
    {
        bool cut = false;
        QStringList lines = footerLines(static_cast<std::size_t>(m_scene.rowsLeftOut));
        lines = atMost(lines, mostFooterLines, ChartWeight::Regular, smallSize, chartSafeArea.width(), cut);
        if (cut)
            m_scene.shortened << text(m_model.footer.back());
        qreal y =
            chartSafeArea.bottom() - chartDescent * smallSize - footerPitch * static_cast<qreal>(lines.size() - 1);
        for (const QString& line : std::as_const(lines)) {
            addWords(line, ChartPart::Footer, ChartWeight::Regular, smallSize, m_palette.quietText,
                     {chartSafeArea.left(), y});
            y += footerPitch;
        }
    }

    void measureColumns()
    {
        qreal names = 0, values = 0;
        for (const RowText& block : m_texts)
            names = std::max(names, block.width);
        for (const Row& row : m_rows) {
            values = std::max(values, chartWidth(text(row.row->value), ChartWeight::Bold, valueSize));
            if (!row.row->plusMinus.empty())
                m_plusMinusWidth =
                    std::max(m_plusMinusWidth, chartWidth(plusMinus(*row.row), ChartWeight::Regular, valueSize));
        }
        if (m_plusMinusWidth > 0)
            values += valueGap + m_plusMinusWidth;
        values = std::max(values, chartWidth(text(m_model.valueHeading), ChartWeight::Regular, smallSize));
        m_nameWidth = names;
        m_zero = std::round(chartSafeArea.left() + names + (names > 0 ? 28 : 0));
        m_end = std::round(chartSafeArea.right() - values - (values > 0 ? columnGap : 0));
    }

    static QString plusMinus(const report::ChartRow& row)
    {
        return QStringLiteral("\u00b1 %1").arg(text(row.plusMinus));
    }

    qreal x(double ms) const { return m_zero + (m_end - m_zero) * ms / m_model.axisMaxMs; }

    /// Where bar and dots of a lane stand. They are as large in every lane as the lowest one allows.
    struct Forms {
        qreal dotsTop = 0, dotsBottom = 0, barTop = 0, bar = 0;
    };
    Forms formsOf(qreal top, qreal height) const
    {
        const qreal used = std::min(std::ranges::min(m_laneHeights), highestLane);
        const qreal formsTop = top + (height - used) / 2;
        const qreal bar = std::clamp(std::round(used * 0.3), thinnestBar, barThickness);
        const qreal barTop = std::round(formsTop + used - bar - std::max(3.0, used * 0.07));
        return {formsTop + 2, barTop - std::max(4.0, std::round(used * 0.05)), barTop, bar};
    }

    void placeLanes()
    {
        struct Lane {
            qreal top, height;
        };
        std::vector<Lane> lanes;
        qreal y = m_top;
        std::vector<std::pair<std::size_t, qreal>> headings;
        for (std::size_t i = 0; i < m_rows.size(); ++i) {
            if (m_rows[i].first) {
                y += headingAbove(i);
                headings.emplace_back(i, y);
            }
            lanes.push_back({y, m_laneHeights[i]});
            y += m_laneHeights[i];
        }
        m_bottom = y + 6;
        measureDots();
        placeAxis();
        for (const auto& [i, below] : headings)
            addWords(text(m_model.groups[static_cast<std::size_t>(m_rows[i].group)].name), ChartPart::Group,
                     ChartWeight::Regular, smallSize, m_palette.quietText, {chartSafeArea.left(), below - 14});
        if (!headings.empty())
            addRight(text(m_model.valueHeading), ChartPart::Column, ChartWeight::Regular, smallSize,
                     m_palette.quietText, chartSafeArea.right(), headings.front().second - 14, -1);
        for (std::size_t i = 0; i < m_rows.size(); ++i)
            placeLane(static_cast<int>(i), lanes[i].top, lanes[i].height);
    }

    void addRight(const QString& words, ChartPart part, ChartWeight weight, int size, const QColor& colour, qreal right,
                  qreal baseline, int lane)
    {
        addWords(words, part, weight, size, colour, {right - chartWidth(words, weight, size), baseline}, lane);
    }

    void placeAxis()
    {
        if (m_model.ticks.empty())
            return;
        const qreal height = m_bottom - m_top;
        // Labels keep their distance; in between, lines alone.
        qreal widest = 0;
        for (const report::ChartTick& tick : m_model.ticks)
            widest = std::max(widest, chartWidth(text(tick.label), ChartWeight::Regular, smallSize));
        const qreal spacing = (m_end - m_zero) / static_cast<qreal>(m_model.ticks.size() - 1);
        const auto every = static_cast<std::size_t>(std::max(1.0, std::ceil((widest + 28) / spacing)));
        const std::size_t lastLabel = (m_model.ticks.size() - 1) / every * every;
        for (std::size_t i = 0; i < m_model.ticks.size(); ++i) {
            const qreal at = std::round(x(m_model.ticks[i].ms));
            const bool axis = i == 0;
            addForm(ChartPiece::Form::Rectangle, axis ? ChartPart::Axis : ChartPart::Grid,
                    axis ? m_palette.axis : m_palette.grid, {at - 1, m_top, axis ? 3.0 : 2.0, height});
            if (i % every != 0)
                continue;
            const QString label = text(m_model.ticks[i].label);
            const qreal left = at - chartWidth(label, ChartWeight::Regular, smallSize) / 2;
            addWords(i == lastLabel ? QStringLiteral("%1 %2").arg(label, text(m_model.unit)) : label, ChartPart::Tick,
                     ChartWeight::Regular, smallSize, m_palette.quietText, {left, m_bottom + 42});
        }
        if (m_model.baselineMs)
            for (qreal y = m_top + 2; y + 4 <= m_bottom; y += 11)
                addForm(ChartPiece::Form::Rectangle, ChartPart::Baseline, m_palette.baseline,
                        {std::round(x(*m_model.baselineMs)) - 2, y, 4, 4});
    }

    void placeLane(int lane, qreal top, qreal height)
    {
        const auto index = static_cast<std::size_t>(lane);
        const report::ChartRow& row = *m_rows[index].row;
        const GroupColours& colours =
            m_palette.groups[static_cast<std::size_t>(m_rows[index].group) % m_palette.groups.size()];

        const RowText& block = m_texts[index];
        const qreal blockTop = top + (height - block.height) / 2;
        for (const RowLine& line : block.lines) {
            const qreal left = line.right ? chartSafeArea.left() + m_nameWidth - line.width : chartSafeArea.left();
            addWords(line.text, line.part, line.weight, line.pixelSize,
                     line.part == ChartPart::Name ? m_palette.text : m_palette.quietText, {left, blockTop + line.y},
                     lane);
        }
        if (block.shortened)
            m_scene.shortened << text(row.name);

        const Forms forms = formsOf(top, height);
        if (!row.meanMs) {
            placeState(row, lane, top + height / 2);
            return;
        }
        addForm(ChartPiece::Form::Rectangle, ChartPart::Bar, colours.bar,
                QRectF(QPointF(m_zero + 2, forms.barTop),
                       QPointF(std::max(m_zero + 3, x(*row.meanMs)), forms.barTop + forms.bar)),
                lane);
        placeDots(row, colours.dot, lane, forms);
        placeInterval(row, lane, forms);

        const qreal baseline = top + height / 2 + chartCapital * valueSize / 2;
        const qreal right = chartSafeArea.right();
        const qreal valueRight = m_plusMinusWidth > 0 ? right - m_plusMinusWidth - valueGap : right;
        addRight(text(row.value), ChartPart::Value, ChartWeight::Bold, valueSize, m_palette.text, valueRight, baseline,
                 lane);
        if (!row.plusMinus.empty())
            addRight(plusMinus(row), ChartPart::Uncertainty, ChartWeight::Regular, valueSize, m_palette.quietText,
                     right, baseline, lane);
    }

    void placeState(const report::ChartRow& row, int lane, qreal middle)
    {
        const QString words = text(row.state);
        const qreal width = chartWidth(words, ChartWeight::Regular, smallSize);
        const qreal left = m_zero + 20;
        // Lines of the grid would run through the words.
        addForm(ChartPiece::Form::Rectangle, ChartPart::State, m_palette.background,
                {left - 6, middle - 0.55 * smallSize, width + 12, 1.1 * smallSize}, lane);
        addWords(words, ChartPart::State, ChartWeight::Regular, smallSize, m_palette.quietText,
                 {left, middle + chartCapital * smallSize / 2}, lane);
    }

    std::vector<double> dotPlaces(const report::ChartRow& row) const
    {
        std::vector<double> places;
        for (const double ms : row.dotsMs)
            places.push_back(x(ms));
        return places;
    }

    /// The largest dots of which at least three quarters show in every stack of every lane, as far as they can be seen.
    void measureDots()
    {
        for (std::size_t i = 0; i < m_rows.size(); ++i) {
            if (!m_rows[i].row->meanMs)
                continue;
            const Forms forms = formsOf(0, m_laneHeights[i]);
            const std::vector<double> places = dotPlaces(*m_rows[i].row);
            for (; m_dot > smallestDot; m_dot -= 1) {
                const std::vector<double> offsets = stackDots(places, m_dot + 1, 1e9);
                const auto [lowest, highest] = std::ranges::minmax(offsets);
                if (0.75 * (highest - lowest) + m_dot <= forms.dotsBottom - forms.dotsTop)
                    break;
            }
        }
    }

    void placeDots(const report::ChartRow& row, const QColor& colour, int lane, const Forms& forms)
    {
        const std::vector<double> places = dotPlaces(row);
        const double room = std::max(0.0, (forms.dotsBottom - forms.dotsTop - m_dot) / 2);
        const std::vector<double> offsets = stackDots(places, m_dot + 1, room);
        const qreal middle = (forms.dotsTop + forms.dotsBottom) / 2;
        // Rings of dots that lie this close would hide the dots beneath.
        const bool rings = m_dot > smallestDot;
        for (std::size_t i = 0; i < places.size(); ++i) {
            const QRectF box(places[i] - m_dot / 2, middle + offsets[i] - m_dot / 2, m_dot, m_dot);
            if (rings)
                addForm(ChartPiece::Form::Disc, ChartPart::Ring, m_palette.background,
                        box.adjusted(-ring, -ring, ring, ring), lane);
            addForm(ChartPiece::Form::Disc, ChartPart::Dot, colour, box, lane);
        }
    }

    void placeInterval(const report::ChartRow& row, int lane, const Forms& forms)
    {
        if (!row.lowMs || !row.highMs)
            return;
        const qreal low = x(std::max(*row.lowMs, 0.0)), high = x(*row.highMs);
        const qreal middle = forms.barTop + forms.bar / 2, half = intervalThickness / 2;
        const auto add = [&](qreal left, qreal y, qreal width, qreal height) {
            addForm(ChartPiece::Form::Rectangle, ChartPart::Interval, m_palette.interval, {left, y, width, height},
                    lane);
        };
        add(low, middle - half, high - low, intervalThickness);
        const qreal cap = forms.bar + 4;
        if (*row.lowMs > 0) // below the axis it goes on
            add(low - half, middle - cap / 2, intervalThickness, cap);
        add(high - half, middle - cap / 2, intervalThickness, cap);
    }

    const report::ChartModel& m_model;
    const ChartPalette& m_palette;
    ChartScene m_scene;
    std::vector<Row> m_rows;
    std::vector<RowText> m_texts;
    std::vector<qreal> m_laneHeights;
    qreal m_top = 0, m_bottom = 0; ///< of headings and lanes
    qreal m_groupGap = leastGroupGap;
    qreal m_dot = dotDiameter; ///< the same in all lanes
    qreal m_nameWidth = 0, m_plusMinusWidth = 0;
    qreal m_zero = 0, m_end = 0; ///< x of the axis and of the last tick
};

} // namespace

ChartScene layOutChart(const report::ChartModel& model, session::ChartTheme theme)
{
    return Layout(model, theme).make();
}

} // namespace ui
