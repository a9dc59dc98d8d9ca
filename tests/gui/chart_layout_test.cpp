#include "tests/gui/chart_samples.h"
#include "ui/chart/chart_card.h"
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
    return pieces(scene, {ChartPart::Bar, ChartPart::Box, ChartPart::Whisker, ChartPart::Dot, ChartPart::Point,
                          ChartPart::Interval, ChartPart::InnerMark, ChartPart::Axis});
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
    const QRectF safe = ui::safeAreaOf(scene.size);
    for (const ChartPiece& piece : scene.pieces) {
        // Half a unit: outlines have side bearings of their own.
        if (!safe.adjusted(-0.5, -0.5, 0.5, 0.5).contains(piece.box))
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

void checkAll(const std::vector<ChartScene>& scenes)
{
    for (const ChartScene& scene : scenes) {
        CHECK_FALSE(words(scene).empty());
        checkNothingOverlaps(scene);
        checkInsideSafeArea(scene);
        checkLegible(scene);
    }
}

const QSize landscape(1920, 1080), upright(1080, 1920), square(1080, 1080);

std::vector<ChartScene> scenes(const report::ChartModel& model, QSize pixels = landscape)
{
    return ui::layOutChart(model, chart_samples::style(session::ChartTheme::Dark, pixels));
}

void checkAll(const report::ChartModel& model)
{
    for (const QSize& size : {landscape, upright, square}) {
        CAPTURE(size.width(), size.height());
        checkAll(scenes(model, size));
    }
}

ChartScene single(const report::ChartModel& model)
{
    const auto all = scenes(model);
    REQUIRE(all.size() == 1);
    return all.front();
}

std::vector<session::ConfigurationId> lanesOf(const std::vector<ChartScene>& scenes)
{
    std::vector<session::ConfigurationId> lanes;
    for (const ChartScene& scene : scenes)
        lanes.insert(lanes.end(), scene.lanes.begin(), scene.lanes.end());
    return lanes;
}

} // namespace

TEST_CASE("a chart keeps everything apart, inside the safe area and legible in every form, number and size", "[chart]")
{
    const int count = GENERATE(1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24);
    const int groups = GENERATE(1, 3);
    const auto form = GENERATE(session::ChartForm::Bars, session::ChartForm::Boxes, session::ChartForm::Differences);
    if (groups > count || (form == session::ChartForm::Differences && count == 1))
        return;
    const report::ChartModel model = chart_samples::inForm(chart_samples::many(count, groups), form);
    const int rows = form == session::ChartForm::Differences ? count - 1 : count;
    for (const QSize& size : {landscape, upright, square, QSize(2560, 1080), QSize(640, 480)}) {
        CAPTURE(count, groups, int(form), size.width(), size.height());
        const std::vector<ChartScene> all = scenes(model, size);
        checkAll(all);
        const auto lanes = lanesOf(all);
        CHECK(static_cast<int>(lanes.size()) == rows); // none left out, none twice
        CHECK(std::set(lanes.begin(), lanes.end()).size() == lanes.size());
        std::size_t values = 0;
        for (const ChartScene& scene : all) {
            values += pieces(scene, {ChartPart::Value}).size();
            CHECK(scene.shortened.isEmpty());
        }
        CHECK(values == lanes.size());
    }
}

TEST_CASE("twenty-four configurations stand in one picture of 1920 x 1080 and of 1080 x 1920", "[chart]")
{
    const report::ChartModel model = chart_samples::many(24, 3);
    CHECK(scenes(model).front().lanes.size() == 24);
    CHECK(scenes(model, upright).front().lanes.size() == 24);
}

TEST_CASE("few configurations use the picture", "[chart]")
{
    // From the first bar's top to the axis' labels, of the height between subtitle and footer.
    const int count = GENERATE(2, 3, 4);
    CAPTURE(count);
    for (const QSize& size : {landscape, square}) {
        const ChartScene scene = scenes(chart_samples::many(count), size).front();
        const auto bars = pieces(scene, {ChartPart::Bar});
        const auto many = pieces(scenes(chart_samples::many(8), size).front(), {ChartPart::Bar});
        CHECK(bars.front()->box.height() >= 1.3 * many.front()->box.height());
        const double top = pieces(scene, {ChartPart::Subtitle}).back()->box.bottom();
        const double bottom = pieces(scene, {ChartPart::Footer}).front()->box.top();
        double drawnTop = 1e9, drawnBottom = 0;
        for (const ChartPiece* piece :
             pieces(scene, {ChartPart::Name, ChartPart::Bar, ChartPart::Dot, ChartPart::Tick})) {
            drawnTop = std::min(drawnTop, piece->box.top());
            drawnBottom = std::max(drawnBottom, piece->box.bottom());
        }
        CHECK(drawnBottom - drawnTop > 0.7 * (bottom - top));
    }
}

TEST_CASE("a chart of twice the pixels has the same places", "[chart]")
{
    const report::ChartModel model = chart_samples::pedalLinks();
    const ChartScene hd = scenes(model).front(), uhd = scenes(model, {3840, 2160}).front();
    CHECK(hd.size == uhd.size);
    REQUIRE(hd.pieces.size() == uhd.pieces.size());
    for (std::size_t i = 0; i < hd.pieces.size(); ++i)
        CHECK(hd.pieces[i].box == uhd.pieces[i].box);
}

TEST_CASE("long names wrap and stay whole", "[chart]")
{
    const report::ChartModel model = chart_samples::longNames();
    checkAll(model);
    for (const QSize& size : {landscape, upright, square}) {
        int row = 0;
        for (const ChartScene& scene : scenes(model, size)) {
            CHECK(scene.shortened.isEmpty());
            for (int lane = 0; lane < static_cast<int>(scene.lanes.size()); ++lane)
                CHECK(allOf(scene, ChartPart::Name, lane).toStdString()
                      == model.groups.front().rows[static_cast<std::size_t>(row++)].name);
        }
        CHECK(row == 6);
    }
}

TEST_CASE("the method's lines move to a picture of their own when asked to, and where room is short", "[chart]")
{
    const auto saysMethod = [](const ChartScene& scene) {
        QStringList lines;
        for (const ChartPiece* piece : words(scene))
            lines << piece->words;
        return lines.join(QLatin1Char(' ')).contains(QStringLiteral("camera frames a second"));
    };
    const report::ChartModel model = chart_samples::pedalLinks();
    CHECK(saysMethod(single(model)));
    ui::ChartStyle apart = chart_samples::style();
    apart.notesApart = true;
    const auto asked = ui::layOutChart(model, apart);
    REQUIRE(asked.size() == 2);
    CHECK_FALSE(saysMethod(asked.front()));
    CHECK(saysMethod(asked.back()));
    checkAll(asked);
    const auto tight = scenes(chart_samples::many(24, 3), square);
    CHECK(tight.size() > 2);
    CHECK(saysMethod(tight.back()));
    CHECK_FALSE(saysMethod(tight.front()));
    for (std::size_t i = 0; i < tight.size(); ++i)
        CHECK(pieces(tight[i], {ChartPart::Page}).front()->words
              == QStringLiteral("%1 of %2").arg(i + 1).arg(tight.size()));
}

TEST_CASE("what no picture has room for is shortened and said", "[chart]")
{
    SECTION("a name of 500 letters without a space, in a session of 100 configurations")
    {
        report::ChartModel model = chart_samples::many(100, 1);
        model.groups.front().rows.front().name = std::string(500, 'm');
        const auto all = scenes(model);
        checkAll(all);
        CHECK(lanesOf(all).size() == 100);
        CHECK(all.front().shortened.size() == 1);
    }
    SECTION("a title and a footnote of 20000 letters")
    {
        report::ChartModel model = chart_samples::pedalLinks();
        model.title = std::string(20000, 'T');
        model.notes.push_back(std::string(20000, 'n'));
        checkAll(model);
        const auto all = scenes(model);
        CHECK(all.front().shortened.size() == 1);
        CHECK(all.back().shortened.size() == 2); // the footnote has a picture of its own first
    }
}

TEST_CASE("a row without a mean says why in place of its bar", "[chart]")
{
    const report::ChartModel model = chart_samples::withoutMeans();
    checkAll(model);
    const ChartScene scene = single(model);
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
        row.valueMs = row.lowMs = row.highMs = std::nullopt;
        row.dotsMs.clear();
        row.value = row.beside = {};
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
    const ChartScene scene = single(model);
    const auto axis = pieces(scene, {ChartPart::Axis});
    REQUIRE(axis.size() == 2); // above and below a heading
    CHECK(axis[0]->box.left() == axis[1]->box.left());
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
                    CHECK(std::abs(ms(piece.box.right()) - *row.valueMs) <= pixel);
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

TEST_CASE("rows of an earlier session are striped and have squares, as long and at the same places", "[chart]")
{
    using Form = ChartPiece::Form;
    const report::ChartModel earlier = chart_samples::withEarlier();
    report::ChartModel plain = earlier;
    for (report::ChartRow& row : plain.groups.back().rows)
        row.earlier = false;
    for (const session::ChartForm form :
         {session::ChartForm::Bars, session::ChartForm::Boxes, session::ChartForm::Differences}) {
        const auto sceneOf = [&](const report::ChartModel& model) {
            return ui::layOutChart(chart_samples::inForm(model, form), chart_samples::style()).front();
        };
        const ChartScene scene = sceneOf(earlier), solid = sceneOf(plain);
        checkNothingOverlaps(scene);
        checkInsideSafeArea(scene);
        const auto inLane = [](const ChartScene& of, int lane, std::initializer_list<ChartPart> parts) {
            std::vector<const ChartPiece*> found = pieces(of, parts);
            std::erase_if(found, [&](const ChartPiece* piece) { return piece->lane != lane; });
            return found;
        };
        const auto last = static_cast<int>(scene.lanes.size()) - 1;
        for (const ChartPiece* dot : inLane(scene, last, {ChartPart::Dot, ChartPart::Point}))
            CHECK(dot->form == Form::Rectangle);
        for (const ChartPiece* dot : inLane(scene, 0, {ChartPart::Dot, ChartPart::Point}))
            CHECK(dot->form == Form::Disc);
        const auto stripes = inLane(scene, last, {ChartPart::Bar, ChartPart::Box});
        const auto whole = inLane(solid, last, {ChartPart::Bar, ChartPart::Box});
        if (form == session::ChartForm::Differences)
            continue;
        REQUIRE(whole.size() == 1);
        REQUIRE(stripes.size() >= 2);
        for (const ChartPiece* stripe : stripes) {
            CHECK(stripe->box.left() == whole[0]->box.left());
            CHECK(stripe->box.right() == whole[0]->box.right());
        }
        CHECK(stripes.front()->box.top() == whole[0]->box.top());
        CHECK(std::abs(stripes.back()->box.bottom() - whole[0]->box.bottom()) < 1e-6);
        CHECK(stripes[1]->box.top() - stripes[0]->box.bottom() >= 2); // to be seen at a phone's size
    }
}

TEST_CASE("an interval that reaches below zero is drawn to the axis without a cap", "[chart]")
{
    report::ChartModel model = chart_samples::pedalLinks();
    model.groups.front().rows.front().lowMs = -3;
    const ChartScene scene = single(model);
    int caps = 0;
    for (const ChartPiece* piece : pieces(scene, {ChartPart::Interval}))
        caps += piece->lane == 0;
    CHECK(caps == 2); // the line and the upper cap
    checkInsideSafeArea(scene);
}

TEST_CASE("what is the same within the margin shows inside its interval what that goes by", "[chart]")
{
    const report::ChartModel model =
        chart_samples::inForm(chart_samples::pedalLinks(), session::ChartForm::Differences);
    const ChartScene scene = single(model);
    int lane = 0, marked = 0;
    for (const report::ChartGroup& group : model.groups)
        for (const report::ChartRow& row : group.rows) {
            double low = 1e9, high = 0, capHeight = 0;
            for (const ChartPiece* piece : pieces(scene, {ChartPart::Interval}))
                if (piece->lane == lane) {
                    low = std::min(low, piece->box.left());
                    high = std::max(high, piece->box.right());
                    capHeight = std::max(capHeight, piece->box.height());
                }
            std::vector<const ChartPiece*> marks;
            for (const ChartPiece* piece : pieces(scene, {ChartPart::InnerMark}))
                if (piece->lane == lane)
                    marks.push_back(piece);
            CHECK(marks.size() == (row.sameLowMs ? 2 : 0));
            for (const ChartPiece* mark : marks) {
                CHECK(mark->box.left() > low);
                CHECK(mark->box.right() < high);
                CHECK(mark->box.height() < 0.7 * capHeight);
            }
            marked += row.sameLowMs.has_value();
            ++lane;
        }
    CHECK(marked > 0);
    CHECK(marked < lane);
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
    const ChartScene scene = single(model);
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
        CHECK(ui::contrastRatio(palette.quietText, palette.band) >= 4.5);
        CHECK(ui::contrastRatio(palette.baseline, palette.background) >= 3);
        CHECK(ui::contrastRatio(palette.axis, palette.background) >= 3);
        for (const ui::GroupColours& group : palette.groups) {
            CHECK(ui::contrastRatio(group.bar, palette.background) >= 3);
            CHECK(ui::contrastRatio(group.dot, palette.background) >= 4.5);
            CHECK(ui::contrastRatio(palette.interval, group.bar) >= 4.5);
        }
        CHECK(ui::paletteFaults(palette, 3).isEmpty());
    }
}

TEST_CASE("colours that can't be read or told apart are named with what they reach", "[chart]")
{
    ui::ChartPalette palette = ui::chartPalette(session::ChartTheme::Dark);
    palette.quietText = QColor(0x60, 0x60, 0x60);
    palette.groups = {{QColor(0xc0, 0x50, 0x30), QColor(0xff, 0xd0, 0xc0)},
                      {QColor(0x70, 0x78, 0x28), QColor(0xe0, 0xe8, 0xa0)}}; // red and green of one brightness
    const QStringList faults = ui::paletteFaults(palette, 2);
    REQUIRE(faults.size() == 2);
    CHECK(faults[0].startsWith(QStringLiteral("The quiet text #606060 on the background #141414 has a contrast of")));
    CHECK(faults[1].startsWith(QStringLiteral("The bars of groups 1 and 2 (#c05030, #707828) look alike")));
    CHECK(ui::paletteFaults(palette, 1).size() == 1); // the second group isn't shown
}

TEST_CASE("differences stand on both sides of zero, on the margin's band", "[chart]")
{
    const report::ChartModel model = chart_samples::inForm(
        chart_samples::model({{"Direct", 40, 24, 5.5}, {"Long cable", 33, 24, 5}, {"Hub", 41, 24, 5}}),
        session::ChartForm::Differences);
    const ChartScene scene = single(model);
    const double zero = pieces(scene, {ChartPart::Axis}).front()->box.left() + 1;
    const auto points = pieces(scene, {ChartPart::Point});
    REQUIRE(points.size() == 2);
    CHECK(points[0]->box.center().x() < zero);
    CHECK(points[1]->box.center().x() > zero);
    const auto ticks = pieces(scene, {ChartPart::Grid, ChartPart::Axis});
    const double pixelsAMs =
        (ticks.back()->box.left() - ticks.front()->box.left()) / (model.axisMaxMs - model.axisMinMs);
    CHECK(std::abs(points[0]->box.center().x() - zero + 7 * pixelsAMs) <= 1);
    const QRectF band = pieces(scene, {ChartPart::Band}).front()->box;
    CHECK(std::abs(band.center().x() - zero) <= 1);
    CHECK(std::abs(band.width() - 4 * pixelsAMs) <= 1);
    CHECK(allOf(scene, ChartPart::Verdict, 0) == QStringLiteral("shorter, less than the margin"));
}

TEST_CASE("boxes hold the middle half of their trials", "[chart]")
{
    const report::ChartModel model = chart_samples::inForm(chart_samples::pedalLinks(), session::ChartForm::Boxes);
    const ChartScene scene = single(model);
    const auto boxes = pieces(scene, {ChartPart::Box});
    REQUIRE(boxes.size() == 6);
    for (const ChartPiece* box : boxes) {
        int inside = 0, all = 0;
        for (const ChartPiece* dot : pieces(scene, {ChartPart::Dot}))
            if (dot->lane == box->lane) {
                ++all;
                const double x = dot->box.center().x();
                inside += x >= box->box.left() - 1 && x <= box->box.right() + 1;
            }
        CHECK(inside * 2 >= all - 1); // quartiles lie between two trials
    }
}

TEST_CASE("a chart is built up in the script's order with every place as it will be", "[chart]")
{
    const report::ChartModel model = chart_samples::pedalLinks();
    const ChartScene whole = single(model);
    std::vector<session::ConfigurationId> order = whole.lanes;
    std::ranges::reverse(order);
    const session::ConfigurationId baseline = whole.lanes.front();
    for (std::size_t shown = 0; shown <= order.size(); ++shown) {
        const ChartScene part = ui::builtUp(whole, order, shown, baseline);
        CHECK(pieces(part, {ChartPart::Bar}).size() == shown);
        CHECK(pieces(part, {ChartPart::Baseline}).empty() == (shown < order.size())); // its row comes last here
        for (const ChartPiece* bar : pieces(part, {ChartPart::Bar})) {
            CHECK(static_cast<std::size_t>(bar->lane) >= order.size() - shown);
            CHECK(std::ranges::any_of(pieces(whole, {ChartPart::Bar}),
                                      [&](const ChartPiece* other) { return other->box == bar->box; }));
        }
    }
    CHECK(ui::builtUp(whole, order, order.size(), baseline).pieces.size() == whole.pieces.size());
}

TEST_CASE("a card keeps everything apart, inside the safe area and legible, with its figure largest", "[chart]")
{
    const bool longNames = GENERATE(false, true);
    const auto form = GENERATE(session::ChartForm::Bars, session::ChartForm::Differences);
    const report::ChartModel model =
        chart_samples::inForm(longNames ? chart_samples::longNames() : chart_samples::pedalLinks(), form);
    const bool difference = form == session::ChartForm::Differences;
    const report::ChartRow& row = model.groups.back().rows.back();
    const report::Card figure{row.configuration,
                              difference,
                              row.name,
                              row.value,
                              "\u00b1 2.0 ms",
                              {},
                              row.name + " takes 5.7 milliseconds longer than Direct, give or take 2.0.",
                              "24 trials; 29.3 to 33.3 ms, 95 % interval"};
    const report::Card verdict{row.configuration,
                               difference,
                               row.name,
                               "same within the margin",
                               {},
                               "+0.5 ms, \u22120.9 to +1.9 ms",
                               row.name
                                   + " against Direct is not resolved: these trials can't tell so small a "
                                     "difference; a true difference of 4.5 milliseconds would have shown 4 times "
                                     "out of 5.",
                               "+0.5 ms, −0.9 to +1.9 ms, all 5 comparisons hold together at 95 %"};
    for (const report::Card& card : {figure, verdict})
        for (const QSize& size : {landscape, upright, square, QSize(3840, 2160), QSize(640, 360)}) {
            CAPTURE(size.width(), size.height(), card.headline, longNames);
            const ChartScene scene = ui::layOutCard(card, model, chart_samples::style(session::ChartTheme::Dark, size));
            checkAll({scene});
            const auto headline = pieces(scene, {ChartPart::Value});
            REQUIRE(headline.size() == 1);
            CHECK(headline.front()->words.toStdString() == card.headline);
            if (card.below.empty() && !longNames) {
                for (const ChartPiece* piece : words(scene))
                    CHECK(piece->pixelSize <= headline.front()->pixelSize);
                if (size != square) // there its figures stand in for it
                    CHECK(pieces(scene, {difference ? ChartPart::Point : ChartPart::Bar}).size() == 1);
            }
        }
}
