#include "tests/gui/chart_samples.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/dot_stack.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <map>
#include <set>

using ui::ChartPart;
using ui::ChartPiece;
using ui::ChartScene;

namespace {

std::vector<const ChartPiece*> pieces(const ChartScene& scene, std::initializer_list<ChartPart> parts)
{
    std::vector<const ChartPiece*> found;
    for (const ChartPiece& piece : scene.pieces)
        if (std::ranges::find(parts, piece.part) != parts.end())
            found.push_back(&piece);
    return found;
}

std::vector<const ChartPiece*> words(const ChartScene& scene)
{
    std::vector<const ChartPiece*> found;
    for (const ChartPiece& piece : scene.pieces)
        if (piece.form == ChartPiece::Form::Words)
            found.push_back(&piece);
    return found;
}

/// Everything that carries a meaning; the grid lies behind it.
std::vector<const ChartPiece*> forms(const ChartScene& scene)
{
    return pieces(scene, {ChartPart::Bar, ChartPart::Dot, ChartPart::Interval, ChartPart::Axis});
}

std::string described(const ChartPiece& piece)
{
    return piece.words.toStdString() + " at " + std::to_string(piece.box.left()) + ", "
           + std::to_string(piece.box.top());
}

void checkNothingOverlaps(const ChartScene& scene)
{
    const auto all = words(scene);
    for (std::size_t i = 0; i < all.size(); ++i) {
        for (std::size_t j = i + 1; j < all.size(); ++j) {
            if (all[i]->box.intersects(all[j]->box))
                FAIL_CHECK(described(*all[i]) << " overlaps " << described(*all[j]));
        }
        for (const ChartPiece* form : forms(scene)) {
            if (all[i]->box.intersects(form->box))
                FAIL_CHECK(described(*all[i]) << " overlaps a bar, dot, interval or the axis");
        }
    }
}

void checkInsideSafeArea(const ChartScene& scene)
{
    for (const ChartPiece& piece : scene.pieces) {
        // Half a pixel: outlines have side bearings of their own.
        if (!ui::chartSafeArea.adjusted(-0.5, -0.5, 0.5, 0.5).contains(piece.box))
            FAIL_CHECK(described(piece) << " leaves the safe area");
    }
}

void checkLegible(const ChartScene& scene)
{
    for (const ChartPiece* piece : words(scene)) {
        INFO(described(*piece));
        CHECK(piece->pixelSize >= ui::smallestChartText);
    }
}

QString allOf(const ChartScene& scene, ChartPart part, int lane)
{
    QStringList lines;
    for (const ChartPiece* piece : pieces(scene, {part}))
        if (piece->lane == lane)
            lines << piece->words;
    return lines.join(QLatin1Char(' '));
}

void checkAll(const report::ChartModel& model)
{
    for (const auto theme : {session::ChartTheme::Dark, session::ChartTheme::Light}) {
        const ChartScene scene = ui::layOutChart(model, theme);
        CHECK_FALSE(words(scene).empty());
        checkNothingOverlaps(scene);
        checkInsideSafeArea(scene);
        checkLegible(scene);
    }
}

} // namespace

TEST_CASE("a chart keeps everything apart, inside the safe area and legible for any number of configurations",
          "[chart]")
{
    const int count = GENERATE(range(1, 13));
    const int groups = GENERATE(1, 2, 3);
    CAPTURE(count, groups);
    if (groups > count)
        return;
    const report::ChartModel model = chart_samples::many(count, groups);
    checkAll(model);
    const ChartScene scene = ui::layOutChart(model, session::ChartTheme::Dark);
    std::set<int> lanes;
    for (const ChartPiece* bar : pieces(scene, {ChartPart::Bar}))
        lanes.insert(bar->lane);
    CHECK(static_cast<int>(lanes.size()) + scene.rowsLeftOut == count);
    CHECK(scene.rowsLeftOut == 0);
}

TEST_CASE("long names wrap and stay whole", "[chart]")
{
    const report::ChartModel model = chart_samples::longNames();
    checkAll(model);
    const ChartScene scene = ui::layOutChart(model, session::ChartTheme::Dark);
    CHECK(scene.shortened.isEmpty());
    CHECK(scene.rowsLeftOut == 0);
    for (int lane = 0; lane < 6; ++lane)
        CHECK(allOf(scene, ChartPart::Name, lane).toStdString()
              == model.groups.front().rows[static_cast<std::size_t>(lane)].name);
}

TEST_CASE("what can't fit is said, not squeezed in", "[chart]")
{
    SECTION("thirty configurations")
    {
        const report::ChartModel model = chart_samples::many(30);
        checkAll(model);
        const ChartScene scene = ui::layOutChart(model, session::ChartTheme::Dark);
        CHECK(scene.rowsLeftOut > 0);
        CHECK(pieces(scene, {ChartPart::Footer}).back()->words
              == QStringLiteral("%1 more configurations don't fit here; the table has them.").arg(scene.rowsLeftOut));
    }
    SECTION("a name of 500 letters without a space, in a session of 1000 configurations")
    {
        report::ChartModel model = chart_samples::many(1000, 1);
        model.groups.front().rows.front().name = std::string(500, 'm');
        checkAll(model);
        CHECK(ui::layOutChart(model, session::ChartTheme::Dark).shortened.size() == 1);
    }
    SECTION("a title and a footnote of 20000 letters")
    {
        report::ChartModel model = chart_samples::pedalLinks();
        model.title = std::string(20000, 'T');
        model.footer.push_back(std::string(20000, 'n'));
        checkAll(model);
        CHECK(ui::layOutChart(model, session::ChartTheme::Dark).shortened.size() == 2);
    }
}

TEST_CASE("a row without a mean says why in place of its bar", "[chart]")
{
    const report::ChartModel model = chart_samples::withoutMeans();
    checkAll(model);
    const ChartScene scene = ui::layOutChart(model, session::ChartTheme::Dark);
    CHECK(allOf(scene, ChartPart::State, 1).trimmed() == QStringLiteral("clock not settled"));
    CHECK(allOf(scene, ChartPart::State, 3).trimmed() == QStringLiteral("no trials yet"));
    for (const ChartPiece* bar : pieces(scene, {ChartPart::Bar, ChartPart::Interval, ChartPart::Dot}))
        CHECK((bar->lane != 1 && bar->lane != 3));
}

TEST_CASE("a session without configurations and one without means still give a chart", "[chart]")
{
    report::ChartModel empty;
    empty.title = "Pedal to screen";
    checkAll(empty);
    report::ChartModel unsettled = chart_samples::withoutMeans();
    for (report::ChartRow& row : unsettled.groups.front().rows) {
        row.meanMs = row.lowMs = row.highMs = std::nullopt;
        row.dotsMs.clear();
        row.value = row.plusMinus = {};
        row.state = "clock not settled";
    }
    unsettled.ticks.clear();
    unsettled.axisMaxMs = 0;
    unsettled.baselineMs.reset();
    unsettled.valueHeading.clear();
    checkAll(unsettled);
}

TEST_CASE("bars begin at zero, dots and interval stand at their ms", "[chart]")
{
    const report::ChartModel model = chart_samples::pedalLinks();
    const ChartScene scene = ui::layOutChart(model, session::ChartTheme::Dark);
    const auto axis = pieces(scene, {ChartPart::Axis});
    REQUIRE(axis.size() == 1);
    const double zero = axis.front()->box.left() + 1;
    const auto grid = pieces(scene, {ChartPart::Grid});
    const double end = grid.back()->box.left() + 1;
    const auto ms = [&](double x) { return (x - zero) / (end - zero) * model.axisMaxMs; };
    const double pixel = model.axisMaxMs / (end - zero);

    int lane = 0;
    for (const report::ChartGroup& group : model.groups)
        for (const report::ChartRow& row : group.rows) {
            std::vector<double> dots;
            for (const ChartPiece& piece : scene.pieces) {
                if (piece.lane != lane)
                    continue;
                if (piece.part == ChartPart::Bar) {
                    CHECK(piece.box.left() - zero <= 3); // right at the axis, whose line is 3 wide
                    CHECK(std::abs(ms(piece.box.right()) - *row.meanMs) <= pixel);
                }
                if (piece.part == ChartPart::Dot)
                    dots.push_back(ms(piece.box.center().x()));
            }
            REQUIRE(dots.size() == row.dotsMs.size());
            for (std::size_t i = 0; i < dots.size(); ++i)
                CHECK(std::abs(dots[i] - row.dotsMs[i])
                      <= pixel); // grid lines are rounded to whole pixels, dots are not
            double low = 1e9, high = 0;
            for (const ChartPiece* piece : pieces(scene, {ChartPart::Interval}))
                if (piece->lane == lane) {
                    low = std::min(low, piece->box.left() + 2.5);
                    high = std::max(high, piece->box.right() - 2.5);
                }
            CHECK(std::abs(ms(low) - *row.lowMs) <= pixel);
            CHECK(std::abs(ms(high) - *row.highMs) <= pixel);
            ++lane;
        }
}

TEST_CASE("an interval that reaches below zero is drawn to the axis without a cap", "[chart]")
{
    report::ChartModel model = chart_samples::pedalLinks();
    model.groups.front().rows.front().lowMs = -3;
    const ChartScene scene = ui::layOutChart(model, session::ChartTheme::Dark);
    int caps = 0;
    for (const ChartPiece* piece : pieces(scene, {ChartPart::Interval}))
        caps += piece->lane == 0;
    CHECK(caps == 2); // the line and the upper cap
    checkInsideSafeArea(scene);
}

TEST_CASE("dots keep their place and touch no other as long as there is room", "[chart]")
{
    const std::vector<double> x{10, 10, 10, 14, 18, 40, 40, 60};
    const std::vector<double> y = ui::stackDots(x, 6, 100);
    for (std::size_t i = 0; i < x.size(); ++i)
        for (std::size_t j = i + 1; j < x.size(); ++j)
            CHECK(std::hypot(x[i] - x[j], y[i] - y[j]) >= 6 - 1e-9);
    CHECK(y[7] == 0);
    CHECK(y[5] + y[6] == Approx(0).margin(1e-12)); // a column about the middle
}

TEST_CASE("five hundred equal dots stay within the lane, evenly", "[chart]")
{
    const std::vector<double> y = ui::stackDots(std::vector<double>(500, 30.0), 13, 20);
    CHECK(*std::ranges::min_element(y) == Approx(-20));
    CHECK(*std::ranges::max_element(y) == Approx(20));
    CHECK(y[1] - y[0] == Approx(40.0 / 499));
}

TEST_CASE("a lane of three hundred trials shows each of their places", "[chart]")
{
    report::ChartModel model = chart_samples::model({{"Direct", 31, 312, 9, ""}, {"Powered hub", 33, 24, 6, ""}});
    checkAll(model);
    const ChartScene scene = ui::layOutChart(model, session::ChartTheme::Dark);
    std::set<int> places;
    std::set<double> diameters;
    for (const ChartPiece* piece : pieces(scene, {ChartPart::Dot})) {
        diameters.insert(piece->box.width());
        if (piece->lane == 0)
            places.insert(qRound(piece->box.center().x()));
    }
    std::set<double> delays(model.groups.front().rows.front().dotsMs.begin(),
                            model.groups.front().rows.front().dotsMs.end());
    CHECK(places.size() == delays.size());
    CHECK(diameters.size() == 1); // the same in every lane
}

TEST_CASE("chart colours keep the contrast that a video on a phone needs", "[chart]")
{
    // WCAG 2.1: 1.4.3 text 4.5, 1.4.11 graphics 3.
    for (const auto theme : {session::ChartTheme::Dark, session::ChartTheme::Light}) {
        const ui::ChartPalette& palette = ui::chartPalette(theme);
        CHECK(ui::contrastRatio(palette.text, palette.background) >= 4.5);
        CHECK(ui::contrastRatio(palette.quietText, palette.background) >= 4.5);
        CHECK(ui::contrastRatio(palette.baseline, palette.background) >= 3);
        CHECK(ui::contrastRatio(palette.axis, palette.background) >= 3);
        for (const ui::GroupColours& group : palette.groups) {
            CHECK(ui::contrastRatio(group.bar, palette.background) >= 3);
            CHECK(ui::contrastRatio(group.dot, palette.background) >= 4.5);
            CHECK(ui::contrastRatio(palette.interval, group.bar) >= 4.5);
        }
    }
    // Black on white is 21 by definition.
    CHECK(ui::contrastRatio(Qt::black, Qt::white) == Approx(21));
}
