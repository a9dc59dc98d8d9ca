#include "ui/chart/chart_card.h"
#include "ui/chart/chart_lanes.h"

#include <algorithm>

namespace ui {
namespace {

constexpr int largestFigure = 380, leastFigure = 130;
constexpr qreal besideShare = 0.4; ///< of the figure's size
constexpr qreal footPitch = 44, gap = 28, sentencePitch = 1.3;
constexpr qreal axisBelow = 58, marginAbove = 46;

class CardLayout {
public:
    CardLayout(const report::Card& card, const report::ChartModel& chart, const ChartStyle& style)
        : m_card(card), m_style(style), m_palette(style.theme.palette), m_face(style.theme.face), m_chart(chart),
          m_scene(emptyScene(style))
    {
        m_safe = safeAreaOf(m_scene.size);
        m_wide = m_safe.width() > 1.2 * m_safe.height();
        for (report::ChartGroup& group : m_chart.groups) {
            group.name.clear(); // colours go by the group's number
            for (const report::ChartRow& row : group.rows)
                if (row.configuration == card.configuration)
                    m_row = {&row, static_cast<int>(&group - m_chart.groups.data()), true};
        }
        m_keyed = !m_chart.valueHeading.empty() && !m_chart.footer.empty();
        m_chart.valueHeading.clear();
    }

    ChartScene make()
    {
        qreal top = placeHead();
        const bool drawn = m_row.row && m_row.row->valueMs;
        // From roomy to tight: a smaller sentence goes before the row's picture, which goes before the figure.
        for (const Fit& fit :
             {Fit{true, true, true, false}, Fit{true, true, false, false}, Fit{true, false, false, false},
              Fit{true, false, false, true}, Fit{false, true, false, false}, Fit{false, true, false, true},
              Fit{false, false, false, true}}) {
            m_fit = fit;
            m_fit.row = fit.row && drawn;
            if (fit.row && !drawn)
                continue;
            measure();
            if (roomForFigure(top) >= leastFigure)
                break;
        }
        const int size = figureSize(roomForFigure(top));
        const qreal air = std::max(0.0, roomForFigure(top) - size * linePitch()) / (m_fit.row ? 4 : 3);

        top += gap + air;
        placeFigure(top, size);
        top += size * linePitch() + belowHeight() + gap + air;
        const qreal ascent = chartAscent * m_sentenceSize;
        top = addLines(m_scene, m_face, m_sentence, ChartPart::Verdict, ChartWeight::Regular, m_sentenceSize,
                       m_palette.text, {m_safe.left(), top + ascent}, sentencePitch * m_sentenceSize)
              - ascent;
        if (m_fit.row)
            placeRow(top + gap + air);
        const qreal foot =
            m_safe.bottom() - chartDescent * smallSize - footPitch * static_cast<qreal>(m_foot.size() - 1);
        addLines(m_scene, m_face, m_foot, ChartPart::Footer, ChartWeight::Regular, smallSize, m_palette.quietText,
                 {m_safe.left(), foot}, footPitch);
        return m_scene;
    }

private:
    /// What is there of all that there may be.
    struct Fit {
        bool row = false, below = false, notes = false, smallSentence = false;
    };

    void measure()
    {
        m_sentenceSize = m_fit.smallSentence ? smallSize : m_wide ? 46 : 50;
        const QStringList lines =
            m_face.wrapped(toText(m_card.sentence), ChartWeight::Regular, m_sentenceSize, m_safe.width());
        bool cut = false;
        m_sentence = atMost(lines, m_wide ? 4 : 7, ChartWeight::Regular, m_sentenceSize, m_safe.width(), m_face, cut);
        m_scene.shortened.removeAll(toText(m_card.sentence));
        if (cut)
            m_scene.shortened << toText(m_card.sentence);
        m_foot = footLines();
    }
    qreal roomForFigure(qreal top) const
    {
        return m_safe.bottom() - top - footPitch * static_cast<qreal>(m_foot.size())
               - sentencePitch * m_sentenceSize * static_cast<qreal>(m_sentence.size()) - 3 * gap - belowHeight()
               - (m_fit.row ? rowBlock() + gap : 0);
    }

    qreal placeHead()
    {
        qreal width = m_safe.width();
        if (const QRectF logo = logoBox(m_style.theme, m_safe); !logo.isEmpty()) {
            addPicture(m_scene, ChartPart::Logo, m_style.theme.logo, logo);
            width -= logo.width() + gap;
        }
        qreal top = m_safe.top();
        const auto place = [&](const std::string& words, ChartPart part, ChartWeight weight,
                               std::initializer_list<int> sizes, int most, const QColor& colour) {
            QStringList lines;
            int used = 0;
            for (const int size : sizes) { // descending; the first that keeps to the lines
                used = size;
                lines = m_face.wrapped(toText(words), weight, size, width);
                if (lines.size() <= most)
                    break;
            }
            bool cut = false;
            lines = atMost(lines, most, weight, used, width, m_face, cut);
            top = addLines(m_scene, m_face, lines, part, weight, used, colour,
                           {m_safe.left(), top + chartAscent * used}, 1.2 * used)
                  - chartAscent * used;
            if (cut)
                m_scene.shortened << toText(words);
        };
        place(m_card.name, ChartPart::Title, ChartWeight::Bold, {84, 72, 60, 50}, 2, m_palette.text);
        place(m_chart.subtitle, ChartPart::Subtitle, ChartWeight::Regular, {42, smallSize}, m_wide ? 2 : 3,
              m_palette.quietText);
        return top;
    }

    /// What has to stand beside any figure, and where there is room what may.
    QStringList footLines() const
    {
        QStringList lines;
        const auto add = [&](const std::string& sentence) {
            if (!sentence.empty())
                addFlowing(lines, sentence, m_safe.width(), m_face);
        };
        if (m_row.row && (m_fit.row || m_card.comparison) && !m_row.row->detail.empty())
            add(m_row.row->detail + ".");
        // The key explains the row's picture; without it the interval stands in figures.
        if (!m_fit.row && !m_card.figures.empty())
            add(m_card.figures + ".");
        for (std::size_t i = !m_fit.row && m_keyed ? 1 : 0; i < m_chart.footer.size(); ++i)
            add(m_chart.footer[i]);
        for (const std::string& line : m_fit.notes ? m_chart.notes : std::vector<std::string>())
            add(line);
        return lines;
    }

    qreal belowHeight() const { return m_fit.below && !m_card.below.empty() ? 70 : 0; }
    /// Of the figure's size; words have letters that reach below the line.
    qreal linePitch() const { return isFigure() ? 0.95 : 1.15; }
    bool isFigure() const { return !m_card.beside.empty(); }
    qreal figureWidth(int size) const
    {
        const qreal headline = m_face.width(toText(m_card.headline), ChartWeight::Bold, size);
        return headline
               + (isFigure() ? 0.12 * size + m_face.width(toText(m_card.beside), ChartWeight::Regular, besideSize(size))
                             : 0);
    }
    static int besideSize(int size) { return std::max(smallSize, qRound(size * besideShare)); }
    int figureSize(qreal height) const
    {
        const int largest = isFigure() ? largestFigure : largestFigure / 2; // words say less per letter
        int size = std::clamp(static_cast<int>(height / linePitch()), smallSize, largest);
        while (size > smallSize && figureWidth(size) > m_safe.width())
            --size;
        return size;
    }
    void placeFigure(qreal top, int size)
    {
        const qreal baseline = top + 0.85 * size;
        const QString headline = toText(m_card.headline);
        addWords(m_scene, m_face, headline, ChartPart::Value, ChartWeight::Bold, size, m_palette.text,
                 {m_safe.left(), baseline});
        addWords(m_scene, m_face, toText(m_card.beside), ChartPart::Uncertainty, ChartWeight::Regular, besideSize(size),
                 m_palette.quietText,
                 {m_safe.left() + m_face.width(headline, ChartWeight::Bold, size) + 0.12 * size, baseline});
        if (m_fit.below)
            addWords(m_scene, m_face, toText(m_card.below), ChartPart::Uncertainty, ChartWeight::Regular, 54,
                     m_palette.quietText, {m_safe.left(), top + linePitch() * size + 54});
    }

    qreal above() const { return m_chart.marginMs ? marginAbove : 0; }
    qreal rowHeight() const { return m_wide ? 136 : 190; }
    qreal rowBlock() const { return rowHeight() + axisBelow + above(); }
    void placeRow(qreal top)
    {
        Arrangement arrangement;
        arrangement.above = true;
        arrangement.scale = m_wide ? 1 : 1.25;
        LaneColumn column;
        column.left = column.plotLeft = m_safe.left();
        column.right = m_safe.right();
        const QString last = toText(m_chart.ticks.back().label);
        column.plotLeft += 4;
        column.plotRight = column.right - m_face.width(last, ChartWeight::Regular, smallSize) / 2
                           - m_face.width(QLatin1Char(' ') + toText(m_chart.unit), ChartWeight::Regular, smallSize) - 4;
        column.top = top + above();
        column.bottom = column.top + rowHeight();
        ChartLane lane;
        lane.row = m_row;
        lane.top = column.top;
        lane.height = rowHeight();
        column.lanes = {lane};
        m_scene.lanes = {m_card.configuration};
        placeLanes(m_scene, m_chart, m_style, arrangement, {column});
    }

    const report::Card& m_card;
    const ChartStyle& m_style;
    const ChartPalette& m_palette;
    const Typeface& m_face;
    report::ChartModel m_chart; ///< without words that the card says otherwise
    ChartLaneRow m_row;         ///< null: the chart leaves it out
    ChartScene m_scene;
    QRectF m_safe;
    bool m_wide = false;
    bool m_keyed = false; ///< the chart's first line below explains its forms
    Fit m_fit;
    QStringList m_sentence, m_foot;
    int m_sentenceSize = smallSize;
};

} // namespace

ChartScene layOutCard(const report::Card& card, const report::ChartModel& chart, const ChartStyle& style)
{
    return CardLayout(card, chart, style).make();
}

} // namespace ui
