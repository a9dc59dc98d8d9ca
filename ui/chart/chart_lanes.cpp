#include "ui/chart/chart_lanes.h"
#include "ui/chart/dot_stack.h"

#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr qreal dotDiameter = 13, smallestDot = 5, ring = 2;
constexpr qreal intervalThickness = 5, pointDiameter = 22;
using Form = ChartPiece::Form;

class Lanes {
public:
    Lanes(ChartScene& scene, const report::ChartModel& model, const ChartStyle& style, const Arrangement& arrangement,
          const std::vector<LaneColumn>& columns)
        : m_scene(scene), m_model(model), m_palette(style.theme.palette), m_face(style.theme.face),
          m_transparent(style.transparent), m_arrangement(arrangement), m_columns(columns)
    {
        m_formsHeight = 1e9;
        for (const LaneColumn& column : columns)
            for (const ChartLane& lane : column.lanes)
                m_formsHeight = std::min(m_formsHeight, roomForForms(lane));
        m_formsHeight =
            std::min(m_formsHeight, (arrangement.above ? tallestLaneAbove - 100 : tallestLane) * arrangement.scale);
    }

    void placeAll()
    {
        measureDots();
        for (const LaneColumn& column : m_columns) {
            m_column = &column;
            placeAxis();
            placeHeadings();
            for (const ChartLane& lane : column.lanes)
                placeLane(lane);
        }
    }

private:
    qreal wordsAbove(const ChartLane& lane) const
    {
        return m_arrangement.above ? std::max(lane.words.height, lane.value.height) + wordsToForms : 0;
    }
    qreal roomForForms(const ChartLane& lane) const
    {
        return lane.height - wordsAbove(lane) - (m_arrangement.above ? belowForms(m_arrangement) : 0);
    }

    /// Where dots and bar of a lane stand: as tall in every lane as the tightest one allows.
    struct Forms {
        qreal top = 0, bottom = 0;         ///< of all
        qreal dotsTop = 0, dotsBottom = 0; ///< Bars, Boxes
        qreal barTop = 0, bar = 0;         ///< bar, box
        qreal middle() const { return barTop + bar / 2; }
    };
    Forms formsOf(const ChartLane& lane) const
    {
        const qreal used = m_formsHeight;
        const qreal top = m_arrangement.above ? lane.top + wordsAbove(lane) : lane.top + (lane.height - used) / 2;
        Forms forms{top, top + used, 0, 0, 0, 0};
        if (m_model.form == session::ChartForm::Differences) {
            forms.barTop = top;
            forms.bar = used;
            return forms;
        }
        const qreal share = m_arrangement.above ? 0.42 : 0.32, most = m_arrangement.above ? 58 : 46;
        forms.bar = std::clamp(std::round(used * share), 14.0, std::round(most * m_arrangement.scale));
        forms.barTop = std::round(top + used - forms.bar - std::max(3.0, used * 0.07));
        forms.dotsTop = top + 2;
        forms.dotsBottom = forms.barTop - std::max(4.0, std::round(used * 0.05));
        return forms;
    }

    qreal x(double ms) const
    {
        return m_column->plotLeft
               + (m_column->plotRight - m_column->plotLeft) * (ms - m_model.axisMinMs)
                     / (m_model.axisMaxMs - m_model.axisMinMs);
    }

    void placeWords(const QString& words, ChartPart part, ChartWeight weight, int size, const QColor& colour,
                    QPointF at, int lane = -1)
    {
        addWords(m_scene, m_face, words, part, weight, size, colour, at, lane);
    }
    void form(Form form, ChartPart part, const QColor& colour, const QRectF& box, int lane = -1)
    {
        addForm(m_scene, form, part, colour, box, lane);
    }

    /// Something that runs from top to bottom at an x: over all lanes but the headings, or, where words
    /// stand above the forms, over these alone.
    template <class Add> void downwards(Add add)
    {
        if (!m_arrangement.above) {
            constexpr qreal below = 3; // the heading's letters
            qreal from =
                m_column->lanes.empty() ? m_column->top : std::max(m_column->top, m_column->lanes.front().top - below);
            for (const ChartLane& lane : m_column->lanes) {
                const bool between = lane.row.first && &lane != &m_column->lanes.front();
                if (!between || m_model.groups[static_cast<std::size_t>(lane.row.group)].name.empty())
                    continue;
                add(from, lane.top - headingHeight, -1);
                from = lane.top - below;
            }
            return add(from, m_column->bottom, -1);
        }
        for (const ChartLane& lane : m_column->lanes) {
            const Forms forms = formsOf(lane);
            add(forms.top - 2, forms.bottom + 6, lane.number);
        }
    }

    void placeAxis()
    {
        if (m_model.ticks.empty())
            return;
        const bool differences = m_model.form == session::ChartForm::Differences;
        if (m_model.marginMs) {
            const qreal low = x(-*m_model.marginMs), high = x(*m_model.marginMs);
            downwards([&](qreal top, qreal bottom, int lane) {
                form(Form::Rectangle, ChartPart::Band, m_palette.band, {low, top, high - low, bottom - top}, lane);
                for (const qreal edge : {low, high})
                    for (qreal y = top; y + 4 <= bottom; y += 14)
                        form(Form::Rectangle, ChartPart::Band, m_palette.axis,
                             {edge - 1, y, 2, std::min(8.0, bottom - y)}, lane);
            });
        }
        // Labels keep their distance; in between, lines alone.
        qreal widest = 0;
        for (const report::ChartTick& tick : m_model.ticks)
            widest = std::max(widest, m_face.width(toText(tick.label), ChartWeight::Regular, smallSize));
        const auto ticks = static_cast<int>(m_model.ticks.size());
        const qreal spacing = (m_column->plotRight - m_column->plotLeft) / (ticks - 1);
        const int every = std::max(1, static_cast<int>(std::ceil((widest + 28) / spacing)));
        const auto zero = std::ranges::find_if(m_model.ticks, [](const auto& tick) { return tick.ms == 0; });
        // Where 0 is among the ticks it has its label.
        const int start = zero == m_model.ticks.end() ? 0 : static_cast<int>(zero - m_model.ticks.begin()) % every;
        const int lastLabel = start + (ticks - 1 - start) / every * every;
        for (int i = 0; i < ticks; ++i) {
            const report::ChartTick& tick = m_model.ticks[static_cast<std::size_t>(i)];
            const qreal at = std::round(x(tick.ms));
            const bool axis = tick.ms == 0;
            const QColor colour = !axis ? m_palette.grid : differences ? m_palette.baseline : m_palette.axis;
            downwards([&](qreal top, qreal bottom, int lane) {
                form(Form::Rectangle, axis ? ChartPart::Axis : ChartPart::Grid, colour,
                     {at - 1, top, axis ? 3.0 : 2.0, bottom - top}, lane);
            });
            if ((i - start) % every != 0)
                continue;
            const QString label = toText(tick.label);
            const qreal left = at - m_face.width(label, ChartWeight::Regular, smallSize) / 2;
            placeWords(i == lastLabel ? QStringLiteral("%1 %2").arg(label, toText(m_model.unit)) : label,
                       ChartPart::Tick, ChartWeight::Regular, smallSize, m_palette.quietText,
                       {std::max(left, m_column->left), m_column->bottom + 42});
        }
        if (m_model.baselineMs)
            downwards([&](qreal top, qreal bottom, int lane) {
                for (qreal y = top + 2; y + 4 <= bottom; y += 11)
                    form(Form::Rectangle, ChartPart::Baseline, m_palette.baseline,
                         {std::round(x(*m_model.baselineMs)) - 2, y, 4, 4}, lane);
            });
    }

    void placeHeadings()
    {
        bool first = true;
        qreal clear = m_column->left; // of headings, on the first line
        for (const ChartLane& lane : m_column->lanes) {
            const QString name = toText(m_model.groups[static_cast<std::size_t>(lane.row.group)].name);
            if (lane.row.first || first) {
                const qreal room =
                    (first && m_arrangement.above ? m_column->right - m_column->left - headingWidth() - 28
                                                  : m_column->right - m_column->left);
                bool cut = false;
                const QStringList lines = atMost(m_face.wrapped(name, ChartWeight::Regular, smallSize, room), 1,
                                                 ChartWeight::Regular, smallSize, room, m_face, cut);
                if (cut)
                    m_scene.shortened << name;
                placeWords(lines.value(0), ChartPart::Group, ChartWeight::Regular, smallSize, m_palette.quietText,
                           {m_column->left, lane.top - 14}, lane.number);
                if (first)
                    clear += m_face.width(lines.value(0), ChartWeight::Regular, smallSize) + 28;
            }
            first = false;
        }
        if (m_column->lanes.empty())
            return;
        const qreal baseline = m_column->lanes.front().top - 14;
        const QString heading = valueHeading();
        addWordsRight(m_scene, m_face, heading, ChartPart::Column, ChartWeight::Regular, smallSize, m_palette.quietText,
                      {m_column->right, baseline});
        if (m_model.ticks.empty())
            return;
        if (m_arrangement.detail == Arrangement::Detail::Counts) {
            const QString trials = QStringLiteral("trials");
            const qreal right = m_column->left + m_column->wordsWidth;
            if (right - m_face.width(trials, ChartWeight::Regular, smallSize) >= clear) {
                addWordsRight(m_scene, m_face, trials, ChartPart::Column, ChartWeight::Regular, smallSize,
                              m_palette.quietText, {right, baseline});
                clear = right + 28;
            }
        }
        if (m_model.marginMs) {
            const QString margin = QStringLiteral("margin \u00b1%1 %2")
                                       .arg(QString::number(*m_model.marginMs, 'g', 6), toText(m_model.unit));
            const qreal width = m_face.width(margin, ChartWeight::Regular, smallSize);
            const qreal right = m_column->right - headingWidth() - 28;
            const qreal low = x(-*m_model.marginMs), high = x(*m_model.marginMs);
            qreal left = high + 12;
            if (left + width > right)
                left = low - 12 - width;
            if (left >= clear && left + width <= right)
                placeWords(margin, ChartPart::Margin, ChartWeight::Regular, smallSize, m_palette.quietText,
                           {left, baseline});
        }
    }

    QString valueHeading() const { return toText(m_arrangement.bare ? m_model.shortHeading : m_model.valueHeading); }
    qreal headingWidth() const { return m_face.width(valueHeading(), ChartWeight::Regular, smallSize); }

    void placeBlock(const RowBlock& block, qreal left, qreal top, int lane)
    {
        for (const RowLine& line : block.lines) {
            const bool loud = line.part == ChartPart::Name || line.part == ChartPart::Value;
            placeWords(line.text, line.part, line.weight, line.pixelSize, loud ? m_palette.text : m_palette.quietText,
                       {left + line.x, top + line.y}, lane);
        }
    }

    void placeLane(const ChartLane& lane)
    {
        const report::ChartRow& row = *lane.row.row;
        const int number = lane.number;
        const GroupColours& colours =
            m_palette.groups[static_cast<std::size_t>(lane.row.group) % m_palette.groups.size()];
        const auto blockTop = [&](const RowBlock& block) {
            return m_arrangement.above ? lane.top : lane.top + (lane.height - block.height) / 2;
        };
        placeBlock(lane.words, m_column->left, blockTop(lane.words), number);
        if (lane.words.shortened || lane.value.shortened)
            m_scene.shortened << toText(row.name);
        if (m_arrangement.detail == Arrangement::Detail::Counts)
            addWordsRight(m_scene, m_face, toText(row.counts), ChartPart::Detail, ChartWeight::Regular, smallSize,
                          m_palette.quietText,
                          {m_column->left + m_column->wordsWidth, blockTop(lane.words) + lane.words.lines.front().y},
                          number);
        const Forms forms = formsOf(lane);
        if (!row.valueMs) {
            placeState(row, number, (forms.top + forms.bottom) / 2);
            return;
        }
        placeBlock(lane.value, m_column->right - lane.value.width, blockTop(lane.value), number);
        switch (m_model.form) {
        case session::ChartForm::Bars:
            solidOrStriped(row, ChartPart::Bar, colours.bar,
                           QRectF(QPointF(m_column->plotLeft + 2, forms.barTop),
                                  QPointF(std::max(m_column->plotLeft + 3, x(*row.valueMs)), forms.barTop + forms.bar)),
                           number);
            placeDots(row, colours.dot, number, forms);
            placeInterval(row, m_palette.interval, number, forms.middle(), forms.bar + 4);
            break;
        case session::ChartForm::Boxes:
            placeBox(row, colours.bar, number, forms);
            placeDots(row, colours.dot, number, forms);
            break;
        case session::ChartForm::Differences: {
            const qreal scale = std::min(m_arrangement.scale, forms.bar / 40);
            placeInterval(row, colours.dot, number, forms.middle(), std::min(34 * m_arrangement.scale, forms.bar));
            const qreal d = pointDiameter * scale, at = x(*row.valueMs);
            const QRectF box(at - d / 2, forms.middle() - d / 2, d, d);
            form(dotForm(row), ChartPart::Ring, m_palette.background, box.adjusted(-4, -4, 4, 4), number);
            form(dotForm(row), ChartPart::Point, colours.dot, box, number);
            break;
        }
        }
    }

    /// Trials and differences of an earlier session are squares, so that colour alone doesn't tell.
    static Form dotForm(const report::ChartRow& row) { return row.earlier ? Form::Rectangle : Form::Disc; }

    /// Bars and boxes of an earlier session are stripes along their length, which stays what is read off.
    void solidOrStriped(const report::ChartRow& row, ChartPart part, const QColor& colour, const QRectF& box, int lane)
    {
        constexpr qreal tall = 30;
        const int stripes = !row.earlier ? 1 : box.height() < tall ? 2 : 3;
        const qreal height = box.height() / (2 * stripes - 1);
        for (int i = 0; i < stripes; ++i)
            form(Form::Rectangle, part, colour, {box.left(), box.top() + 2 * i * height, box.width(), height}, lane);
    }

    void placeBox(const report::ChartRow& row, const QColor& colour, int lane, const Forms& forms)
    {
        const report::ChartBox& box = *row.box;
        const qreal low = x(box.lower), high = x(box.upper), median = x(box.median);
        const qreal cap = std::round(forms.bar * 0.6);
        const auto add = [&](ChartPart part, const QColor& fill, qreal left, qreal right, qreal height) {
            form(Form::Rectangle, part, fill, {left, forms.middle() - height / 2, right - left, height}, lane);
        };
        add(ChartPart::Whisker, m_palette.quietText, x(box.least), x(box.most), 3);
        for (const double end : {box.least, box.most})
            add(ChartPart::Whisker, m_palette.quietText, x(end) - 1.5, x(end) + 1.5, cap);
        solidOrStriped(row, ChartPart::Box, colour,
                       {low, forms.middle() - forms.bar / 2, std::max(high, low + 2) - low, forms.bar}, lane);
        add(ChartPart::Median, m_palette.interval, median - 3, median + 3, forms.bar + 4);
    }

    void placeState(const report::ChartRow& row, int lane, qreal middle)
    {
        const QString state = toText(row.state);
        const qreal width = m_face.width(state, ChartWeight::Regular, smallSize);
        const qreal left = m_column->plotLeft + 20;
        if (!m_transparent) // lines of the grid would run through the words
            form(Form::Rectangle, ChartPart::State, m_palette.background,
                 {left - 6, middle - 0.55 * smallSize, width + 12, 1.1 * smallSize}, lane);
        placeWords(state, ChartPart::State, ChartWeight::Regular, smallSize, m_palette.quietText,
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
        m_dot = std::round(dotDiameter * m_arrangement.scale);
        for (const LaneColumn& column : m_columns) {
            m_column = &column;
            for (const ChartLane& lane : column.lanes) {
                if (!lane.row.row->valueMs || lane.row.row->dotsMs.empty())
                    continue;
                const Forms forms = formsOf(lane);
                const std::vector<double> places = dotPlaces(*lane.row.row);
                for (; m_dot > smallestDot; m_dot -= 1) {
                    const std::vector<double> offsets = stackDots(places, m_dot + 1, 1e9);
                    const auto [lowest, highest] = std::ranges::minmax(offsets);
                    if (0.75 * (highest - lowest) + m_dot <= forms.dotsBottom - forms.dotsTop)
                        break;
                }
            }
        }
    }

    void placeDots(const report::ChartRow& row, const QColor& colour, int lane, const Forms& forms)
    {
        if (row.dotsMs.empty())
            return;
        const std::vector<double> places = dotPlaces(row);
        const double room = std::max(0.0, (forms.dotsBottom - forms.dotsTop - m_dot) / 2);
        const std::vector<double> offsets = stackDots(places, m_dot + 1, room);
        const auto [lowest, highest] = std::ranges::minmax(offsets);
        // As near the bar as they may be: the air goes above.
        const qreal middle = std::max((forms.dotsTop + forms.dotsBottom) / 2,
                                      forms.dotsBottom - m_dot / 2 - std::max(highest, m_dot) - 2);
        // Rings of dots that lie this close would hide the dots beneath.
        const bool rings = m_dot > smallestDot;
        for (std::size_t i = 0; i < places.size(); ++i) {
            const QRectF box(places[i] - m_dot / 2, middle + offsets[i] - m_dot / 2, m_dot, m_dot);
            if (rings)
                form(dotForm(row), ChartPart::Ring, m_palette.background, box.adjusted(-ring, -ring, ring, ring), lane);
            form(dotForm(row), ChartPart::Dot, colour, box, lane);
        }
    }

    void placeInterval(const report::ChartRow& row, const QColor& colour, int lane, qreal middle, qreal cap)
    {
        if (!row.lowMs || !row.highMs)
            return;
        const qreal low = x(std::max(*row.lowMs, m_model.axisMinMs)), high = x(*row.highMs);
        const qreal thickness = intervalThickness * std::min(1.4, m_arrangement.scale), half = thickness / 2;
        const auto add = [&](qreal left, qreal y, qreal width, qreal height) {
            form(Form::Rectangle, ChartPart::Interval, colour, {left, y, width, height}, lane);
        };
        add(low, middle - half, high - low, thickness);
        if (*row.lowMs > m_model.axisMinMs) // below the axis it goes on
            add(low - half, middle - cap / 2, thickness, cap);
        add(high - half, middle - cap / 2, thickness, cap);
        if (row.sameLowMs) // shorter than the caps, so that they can't be taken for them
            for (const double end : {*row.sameLowMs, *row.sameHighMs})
                form(Form::Rectangle, ChartPart::InnerMark, colour,
                     {x(end) - 0.3 * thickness, middle - 0.3 * cap, 0.6 * thickness, 0.6 * cap}, lane);
    }

    ChartScene& m_scene;
    const report::ChartModel& m_model;
    const ChartPalette& m_palette;
    const Typeface& m_face;
    bool m_transparent;
    const Arrangement& m_arrangement;
    const std::vector<LaneColumn>& m_columns;
    const LaneColumn* m_column = nullptr;
    qreal m_formsHeight = 0;
    qreal m_dot = dotDiameter; ///< the same in all lanes
};

} // namespace

void placeLanes(ChartScene& scene, const report::ChartModel& model, const ChartStyle& style,
                const Arrangement& arrangement, const std::vector<LaneColumn>& columns)
{
    Lanes(scene, model, style, arrangement, columns).placeAll();
}

} // namespace ui
