#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_lanes.h"

#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr qreal footerPitch = 44;
constexpr qreal columnGap = 36, betweenColumns = 64, wordsGap = 28;
constexpr qreal leastGroupGap = 10, mostGroupGap = 28, rowGap = 8;
constexpr qreal leastPlot = 180;
constexpr qreal wideCanvas = 1400; ///< from here on words have room beside the plot
constexpr int mostTitleLines = 3, mostSubtitleLines = 3;

/// Arrangements for a picture of that width, from roomy to tight.
std::vector<Arrangement> arrangements(qreal width)
{
    using Detail = Arrangement::Detail;
    std::vector<Arrangement> list;
    const bool wide = width >= wideCanvas;
    for (const qreal scale : {1.8, 1.5, 1.25})
        list.push_back({!wide, Detail::Below, 1, wide ? 560.0 : 0, scale, true});
    for (const bool alike : {true, false}) {
        if (wide) {
            list.push_back({false, Detail::Below, 1, 460, 1, alike});
            list.push_back({false, Detail::Below, 1, 640, 1, alike});
            list.push_back({false, Detail::Beside, 1, 620, 1, alike});
            list.push_back({false, Detail::Beside, 1, 860, 1, alike});
            list.push_back({false, Detail::Below, 2, 300, 1, alike});
            list.push_back({false, Detail::Counts, 2, 420, 1, alike});
        } else {
            list.push_back({true, Detail::Below, 1, 0, 1, alike});
            list.push_back({true, Detail::Beside, 1, 0, 1, alike});
            list.push_back({true, Detail::Counts, 1, 0, 1, alike});
        }
    }
    if (wide) {
        list.push_back({false, Detail::Counts, 1, 860, 0.8, false});
        list.push_back({false, Detail::Counts, 2, 440, 0.8, false});
        list.push_back({false, Detail::Counts, 2, 480, 0.8, false, true});
    } else {
        list.push_back({false, Detail::Counts, 1, 0.45 * width, 0.8, false});
        list.push_back({false, Detail::Counts, 1, 0.5 * width, 0.8, false, true});
    }
    return list;
}

class Layout {
public:
    Layout(const report::ChartModel& model, const ChartStyle& style)
        : m_model(model), m_style(style), m_palette(style.theme.palette), m_face(style.theme.face),
          m_units(unitsOf(style.pixels)), m_safe(safeAreaOf(m_units))
    {
        int number = 0;
        for (const report::ChartGroup& group : model.groups) {
            for (const report::ChartRow& row : group.rows)
                m_rows.push_back({&row, number, &row == &group.rows.front()});
            ++number;
        }
    }

    std::vector<ChartScene> make()
    {
        for (std::size_t pages = 1;; ++pages)
            for (const bool apart : {false, true}) {
                if (apart ? m_model.notes.empty() : (m_style.notesApart || pages > 1) && !m_model.notes.empty())
                    continue;
                if (!apart && !m_model.notes.empty() && footerLines(false, pages > 1).size() > mostFooterLines())
                    continue; // it would be cut
                // Dots that can be seen come before words that stand alike; that rows show at all, before either.
                for (const bool roomy : {true, false})
                    for (const Arrangement& arrangement : arrangements(m_units.width())) {
                        m_leastForms = roomy ? roomyForms : leastForms;
                        if ((!roomy || arrangement.detail != Arrangement::Detail::Counts)
                            && fits(arrangement, pages, apart))
                            return draw(arrangement, pages, apart);
                    }
                // No picture is too small for one row: what is left over then stands out.
                if (pages >= m_rows.size() && (apart || m_model.notes.empty()))
                    return draw(arrangements(m_units.width()).back(), pages, apart);
            }
    }

private:
    using Rows = std::vector<ChartLaneRow>;

    Rows rowsOf(std::size_t page, std::size_t pages) const
    {
        const std::size_t each = (m_rows.size() + pages - 1) / pages, begin = std::min(page * each, m_rows.size());
        return {m_rows.begin() + static_cast<std::ptrdiff_t>(begin),
                m_rows.begin() + static_cast<std::ptrdiff_t>(std::min(begin + each, m_rows.size()))};
    }

    // Header

    struct Heading {
        QStringList lines;
        int size = 0;
        bool cut = false;
    };
    Heading headingOf(const std::string& words, ChartWeight weight, std::initializer_list<int> sizes, int most,
                      qreal width) const
    {
        // The largest size that takes no more lines than the smallest; three lines are set in the smallest.
        Heading heading;
        for (const int size : sizes) { // descending
            const QStringList lines = m_face.wrapped(toText(words), weight, size, width);
            if (heading.size == 0 || lines.size() < heading.lines.size() || lines.size() > 2) {
                heading.lines = lines;
                heading.size = size;
            }
        }
        heading.lines = atMost(heading.lines, most, weight, heading.size, width, m_face, heading.cut);
        return heading;
    }
    QRectF logo() const { return logoBox(m_style.theme, m_safe); }
    qreal headerWidth() const { return m_safe.width() - (logo().isEmpty() ? 0 : logo().width() + columnGap); }
    Heading titleOf() const
    {
        return headingOf(m_model.title, ChartWeight::Bold, {58, 50, 44}, mostTitleLines, headerWidth());
    }
    Heading subtitleOf() const
    {
        return headingOf(m_model.subtitle, ChartWeight::Regular, {38, smallSize}, mostSubtitleLines, headerWidth());
    }
    qreal headerBottom() const
    {
        const Heading title = titleOf(), subtitle = subtitleOf();
        const qreal words = 1.2 * title.size * static_cast<qreal>(title.lines.size())
                            + 1.25 * subtitle.size * static_cast<qreal>(subtitle.lines.size());
        return m_safe.top() + std::max(words, logo().height()) + 18;
    }
    void placeHeader(ChartScene& scene, const QString& page)
    {
        if (!logo().isEmpty())
            addPicture(scene, ChartPart::Logo, m_style.theme.logo, logo());
        qreal top = m_safe.top();
        const auto place = [&](const Heading& heading, ChartPart part, ChartWeight weight, qreal pitch,
                               const QColor& colour, const std::string& whole) {
            const qreal ascent = chartAscent * heading.size;
            top = addLines(scene, m_face, heading.lines, part, weight, heading.size, colour,
                           {m_safe.left(), top + ascent}, pitch * heading.size)
                  - ascent;
            if (heading.cut)
                scene.shortened << toText(whole);
        };
        place(titleOf(), ChartPart::Title, ChartWeight::Bold, 1.2, m_palette.text, m_model.title);
        place(subtitleOf(), ChartPart::Subtitle, ChartWeight::Regular, 1.25, m_palette.quietText, m_model.subtitle);
        if (!page.isEmpty())
            addWordsRight(scene, m_face, page, ChartPart::Page, ChartWeight::Regular, smallSize, m_palette.quietText,
                          {m_safe.right(), m_safe.bottom() - chartDescent * smallSize});
    }

    // Footer

    int mostFooterLines() const { return m_units.width() >= wideCanvas ? 6 : 9; }
    QStringList footerLines(bool apart, bool paged) const
    {
        QStringList lines;
        const qreal width = m_safe.width();
        for (const std::string& sentence : m_model.footer)
            addFlowing(lines, sentence, width, m_face);
        for (const std::string& note : apart ? std::vector<std::string>() : m_model.notes)
            addFlowing(lines, note, width, m_face);
        if (paged && !lines.isEmpty() && m_face.width(lines.back(), ChartWeight::Regular, smallSize) + 160 > width)
            lines << QString(); // for the number of the picture
        return lines;
    }
    qreal footerTop(bool apart, bool paged) const
    {
        const auto lines =
            std::min<qsizetype>(std::max<qsizetype>(footerLines(apart, paged).size(), paged), mostFooterLines());
        return m_safe.bottom() - static_cast<qreal>(lines) * footerPitch;
    }
    void placeFooter(ChartScene& scene, bool apart, bool paged)
    {
        bool cut = false;
        const QStringList lines = atMost(footerLines(apart, paged), mostFooterLines(), ChartWeight::Regular, smallSize,
                                         m_safe.width(), m_face, cut);
        if (cut)
            scene.shortened << toText(m_model.notes.empty() || apart ? m_model.footer.back() : m_model.notes.back());
        const qreal y = m_safe.bottom() - chartDescent * smallSize - footerPitch * static_cast<qreal>(lines.size() - 1);
        addLines(scene, m_face, lines, ChartPart::Footer, ChartWeight::Regular, smallSize, m_palette.quietText,
                 {m_safe.left(), y}, footerPitch);
    }

    // Rows

    /// Of lanes: without what sets groups further apart.
    struct Measured {
        std::vector<LaneColumn> columns;
        qreal room = 0;  ///< for headings and lanes of a column
        qreal spare = 0; ///< of it in the fullest column
        bool fits = false;
    };

    qreal headingAbove(const ChartLaneRow& row, bool first) const
    {
        const bool named = !m_model.groups[static_cast<std::size_t>(row.group)].name.empty();
        if (first)
            return named || !m_model.valueHeading.empty() || m_model.marginMs ? headingHeight : 0;
        return row.first ? leastGroupGap + (named ? headingHeight : 0) : 0;
    }

    Measured measured(const Arrangement& arrangement, const Rows& rows, bool apart, bool paged) const
    {
        Measured result;
        const qreal top = headerBottom();
        const qreal bottom = footerTop(apart, paged) - (m_model.ticks.empty() ? 16 : axisHeight) - 6;
        result.room = bottom - top;
        result.spare = result.room;
        const auto columns = static_cast<std::size_t>(arrangement.columns);
        if (columns > 1 && rows.size() < 4)
            return result;
        const qreal width = (m_safe.width() - betweenColumns * (arrangement.columns - 1)) / arrangement.columns;

        qreal beside = 0, words = 0, values = 0, counts = 0;
        for (const ChartLaneRow& row : rows) {
            beside = std::max(beside, besideWidth(*row.row, arrangement, m_face));
            counts = std::max(counts, m_face.width(toText(row.row->counts), ChartWeight::Regular, smallSize));
        }
        counts = arrangement.detail == Arrangement::Detail::Counts ? counts + 24 : 0;
        bool alike = true, whole = true;
        qreal least = 0;
        std::vector<ChartLane> lanes;
        for (const ChartLaneRow& row : rows) {
            ChartLane lane;
            lane.row = row;
            lane.value = setRowValue(*row.row, arrangement, beside, m_face);
            const qreal widest = (arrangement.above ? width - (lane.value.width > 0 ? lane.value.width + columnGap : 0)
                                                    : std::min(arrangement.widest, width - leastPlot))
                                 - counts;
            lane.words = setRowWords(*row.row, arrangement, std::max(widest, 100.0), m_face);
            words = std::max(words, lane.words.width + counts);
            values = std::max(values, lane.value.width);
            whole = whole && !lane.words.shortened && !lane.value.shortened;
            const qreal block = std::max(lane.words.height, lane.value.height);
            const bool differences = m_model.form == session::ChartForm::Differences;
            const qreal leastAbove = differences ? 34 : leastFormsAbove;
            const qreal leastLane =
                arrangement.above ? block + wordsToForms + leastAbove * arrangement.scale + belowForms(arrangement)
                                  : std::max(differences ? leastForms : m_leastForms, block);
            lane.height =
                std::max(leastLane, arrangement.scale > 1 ? (arrangement.above ? 190 : 150) * arrangement.scale : 0)
                + (arrangement.detail == Arrangement::Detail::Below ? rowGap : 0);
            const auto nameLines = std::ranges::count(lane.words.lines, ChartPart::Name, &RowLine::part);
            alike = alike
                    && (arrangement.detail == Arrangement::Detail::Counts
                            ? nameLines == 1
                            : row.row->detail.empty()
                                  || (lane.words.detailBeside == (arrangement.detail == Arrangement::Detail::Beside)
                                      && lane.words.lines.size() == 2));
            least = std::max(least, lane.height);
            lanes.push_back(std::move(lane));
        }
        values = std::max(values, m_face.width(toText(arrangement.bare ? m_model.shortHeading : m_model.valueHeading),
                                               ChartWeight::Regular, smallSize));

        const std::size_t each = (rows.size() + columns - 1) / columns;
        for (std::size_t c = 0; c < columns; ++c) {
            LaneColumn column;
            column.left = m_safe.left() + static_cast<qreal>(c) * (width + betweenColumns);
            column.right = column.left + width;
            column.wordsWidth = words;
            column.valueWidth = values;
            column.plotLeft =
                arrangement.above ? column.left + 4 : std::round(column.left + words + (words > 0 ? wordsGap : 0));
            column.plotRight = arrangement.above ? column.right - (m_model.ticks.empty() ? 0 : unitRoom())
                                                 : std::round(column.right - values - (values > 0 ? columnGap : 0));
            column.top = top;
            qreal needed = 0;
            for (std::size_t i = c * each; i < std::min((c + 1) * each, lanes.size()); ++i) {
                needed += headingAbove(lanes[i].row, column.lanes.empty()) + lanes[i].height;
                lanes[i].number = static_cast<int>(i);
                column.lanes.push_back(std::move(lanes[i]));
            }
            result.spare = std::min(result.spare, result.room - needed);
            result.columns.push_back(std::move(column));
        }
        const LaneColumn& first = result.columns.front();
        const bool plotFits = rows.empty() || m_model.ticks.empty() || first.plotRight - first.plotLeft >= leastPlot;
        result.fits = result.spare >= 0 && plotFits && (!arrangement.alike || (alike && whole));
        return result;
    }

    /// Half of the last tick's label and the unit behind it.
    qreal unitRoom() const
    {
        const QString last = toText(m_model.ticks.back().label);
        return m_face.width(last, ChartWeight::Regular, smallSize) / 2
               + m_face.width(QLatin1Char(' ') + toText(m_model.unit), ChartWeight::Regular, smallSize) + 4;
    }

    bool fits(const Arrangement& arrangement, std::size_t pages, bool apart) const
    {
        for (std::size_t page = 0; page < pages; ++page)
            if (!measured(arrangement, rowsOf(page, pages), apart, pages > 1).fits)
                return false;
        return true;
    }

    /// Spare height sets groups apart and goes to the lanes in equal parts, up to where bar and dots would drift apart;
    /// the rest is air above and below.
    void shareOut(Measured& measured, const Arrangement& arrangement) const
    {
        qreal most = 0, gaps = 0;
        std::size_t rows = 0;
        for (const LaneColumn& column : measured.columns) {
            rows = std::max(rows, column.lanes.size());
            qreal inColumn = 0;
            for (const ChartLane& lane : column.lanes) {
                most = std::max(most, lane.height);
                inColumn += lane.row.first && &lane != &column.lanes.front();
            }
            gaps = std::max(gaps, inColumn);
        }
        qreal spare = measured.spare, groupGap = 0;
        if (rows == 0)
            return;
        if (gaps > 0) {
            groupGap =
                std::clamp((spare - 10 * static_cast<qreal>(rows)) / 2 / gaps, 0.0, mostGroupGap - leastGroupGap);
            spare -= groupGap * gaps;
        }
        const qreal tallest = (arrangement.above ? tallestLaneAbove : tallestLane) * arrangement.scale;
        const qreal each = std::clamp(spare / static_cast<qreal>(rows), 0.0, std::max(0.0, tallest - most));
        spare -= each * static_cast<qreal>(rows);
        // A third to two thirds: the eye puts the middle higher than it is.
        const qreal air = spare / 3;
        for (LaneColumn& column : measured.columns) {
            column.top += air;
            qreal y = column.top;
            for (ChartLane& lane : column.lanes) {
                const bool first = &lane == &column.lanes.front();
                y += headingAbove(lane.row, first) + (lane.row.first && !first ? groupGap : 0);
                lane.top = y;
                lane.height += each;
                y += lane.height;
            }
            column.bottom = y + 6;
        }
        // Axes of columns side by side stand on one line.
        qreal bottom = 0;
        for (const LaneColumn& column : measured.columns)
            bottom = std::max(bottom, column.bottom);
        for (LaneColumn& column : measured.columns)
            column.bottom = bottom;
    }

    std::vector<ChartScene> draw(const Arrangement& arrangement, std::size_t pages, bool apart)
    {
        std::vector<ChartScene> scenes;
        const std::size_t all = pages + apart;
        for (std::size_t page = 0; page < pages; ++page) {
            ChartScene scene = emptyScene(m_style);
            const Rows rows = rowsOf(page, pages);
            for (const ChartLaneRow& row : rows)
                scene.lanes.push_back(row.row->configuration);
            placeHeader(scene, pages > 1 ? pageWords(page, all) : QString());
            placeFooter(scene, apart, pages > 1);
            Measured lanes = measured(arrangement, rows, apart, pages > 1);
            shareOut(lanes, arrangement);
            placeLanes(scene, m_model, m_style, arrangement, lanes.columns);
            scenes.push_back(std::move(scene));
        }
        if (apart)
            scenes.push_back(notesScene(pages > 1 ? pageWords(pages, all) : QString()));
        return scenes;
    }

    static QString pageWords(std::size_t page, std::size_t of)
    {
        return QStringLiteral("%1 of %2").arg(page + 1).arg(of);
    }

    /// The method's lines as large as they fit.
    ChartScene notesScene(const QString& page)
    {
        ChartScene scene = emptyScene(m_style);
        placeHeader(scene, page);
        const qreal top = headerBottom(), room = m_safe.bottom() - footerPitch - top;
        QStringList lines;
        int size = 54;
        for (;; --size) {
            lines.clear();
            for (const std::string& note : m_model.notes)
                lines << m_face.wrapped(toText(note), ChartWeight::Regular, size, m_safe.width()) << QString();
            if (size == smallSize || 1.25 * size * static_cast<qreal>(lines.size() - 1) <= room)
                break;
        }
        const qreal pitch = 1.25 * size;
        bool cut = false;
        lines =
            atMost(lines, static_cast<int>(room / pitch) + 1, ChartWeight::Regular, size, m_safe.width(), m_face, cut);
        if (cut)
            scene.shortened << toText(m_model.notes.back());
        const qreal y = top + (room - pitch * static_cast<qreal>(lines.size() - 1)) / 3 + size;
        addLines(scene, m_face, lines, ChartPart::Footer, ChartWeight::Regular, size, m_palette.text,
                 {m_safe.left(), y}, pitch);
        return scene;
    }

    const report::ChartModel& m_model;
    const ChartStyle& m_style;
    const ChartPalette& m_palette;
    const Typeface& m_face;
    QSizeF m_units;
    QRectF m_safe;
    qreal m_leastForms = leastForms; ///< height of bar and dots where words stand beside them
    std::vector<ChartLaneRow> m_rows;
};

} // namespace

std::vector<ChartScene> layOutChart(const report::ChartModel& model, const ChartStyle& style)
{
    return Layout(model, style).make();
}

ChartScene builtUp(const ChartScene& scene, const std::vector<session::ConfigurationId>& order, std::size_t lanes,
                   session::ConfigurationId baseline)
{
    const auto shown = [&](session::ConfigurationId id) {
        const auto place = std::ranges::find(order, id);
        return place != order.end() && place - order.begin() < static_cast<std::ptrdiff_t>(lanes);
    };
    ChartScene built = scene;
    std::erase_if(built.pieces, [&](const ChartPiece& piece) {
        if (piece.part == ChartPart::Baseline && !shown(baseline))
            return true;
        return piece.lane >= 0 && piece.part != ChartPart::Group
               && !shown(scene.lanes[static_cast<std::size_t>(piece.lane)]);
    });
    return built;
}

} // namespace ui
