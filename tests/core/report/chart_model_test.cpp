#include "core/report/chart_model.h"
#include "tests/core/analysis/small_session.h"

#include <algorithm>
#include <catch2/catch.hpp>

using Catch::WithinAbs;
using namespace analysis;
using namespace report;

namespace {

using Lines = std::vector<std::string>;

ChartModel model(const session::Document& document) { return chartModel(document, compute(document)); }

std::string tickLabels(const ChartModel& chart)
{
    std::string labels;
    for (const ChartTick& tick : chart.ticks)
        labels += tick.label + ' ';
    return labels;
}

/// One configuration with the given delays in ms, at 1000 camera frames a second.
session::Document single(std::initializer_list<std::int64_t> delays)
{
    small::Builder b;
    const session::ConfigurationId id = b.configuration("Wired pedal");
    b.document.settings.plan.baseline = id;
    b.trials(b.capture("wired.mp4", b.clock("Fast camera", 1000, {b.source("typed", 0)})), id, b.run("run 1"), delays);
    return b.document;
}

} // namespace

// Figures as worked out in results_test.cpp.
TEST_CASE("the chart of the small session", "[report]")
{
    const small::Session s = small::session();
    const ChartModel chart = model(s.document);
    CHECK(chart.title == "Pedal links");
    CHECK(chart.subtitle == "From the lamp lighting to the reaction (the panel turns white), in ms");
    CHECK(chart.unit == "ms");
    CHECK(chart.valueHeading == "mean ± 95 %");
    REQUIRE(chart.groups.size() == 2);
    CHECK(chart.groups[0].name == "144 Hz panel");
    CHECK(chart.groups[1].name == "75 Hz panel");
    REQUIRE(chart.groups[0].rows.size() == 2);

    const ChartRow& wired = chart.groups[0].rows[0];
    CHECK(wired.name == "Wired pedal");
    CHECK(wired.detail == "5 trials, 1 rejected, 1 no reaction, baseline");
    CHECK(wired.baseline);
    CHECK(wired.dotsMs.size() == 5);
    CHECK(wired.value == "31.0");
    CHECK(wired.beside == "± 1.9");
    CHECK(wired.counts == "5 of 7");
    CHECK(wired.state.empty());
    CHECK_THAT(*wired.valueMs, WithinAbs(31, 1e-9)); // a difference of two times in seconds
    CHECK_THAT(*wired.lowMs, WithinAbs(31 - 1.9154719406641785, 1e-9));
    CHECK_THAT(*wired.highMs, WithinAbs(31 + 1.9154719406641785, 1e-9));
    CHECK_THAT(*chart.baselineMs, WithinAbs(31, 1e-9));

    CHECK(tickLabels(chart) == "0 10 20 30 40 50 "); // up to a dot at 42
    CHECK(chart.axisMaxMs == 50);
    CHECK(chart.footer
          == Lines{"Each dot is one trial. Bracket: 95 % interval of the mean. Dotted line: baseline.",
                   "These runs only: with fewer than 4 runs, another run may differ by more."});
    CHECK(chart.notes == Lines{"1000.0 and 500.00 camera frames a second, margin 2 ms."});
}

TEST_CASE("the analyst's own words stand in the chart", "[report]")
{
    small::Session s = small::session();
    s.document.settings.publish = {
        "What the link adds", "Pedal to panel, ms", "Measured in a dark room.", session::ChartTheme::Dark, {}};
    const ChartModel chart = model(s.document);
    CHECK(chart.title == "What the link adds");
    CHECK(chart.subtitle == "Pedal to panel, ms");
    CHECK(chart.notes.back() == "Measured in a dark room.");
}

TEST_CASE("rows without a mean say why and have no bar", "[report]")
{
    small::Session s = small::session();
    for (const session::Trial* trial : trialsOf(s.document, s.hubCapture))
        s.document.trials.erase(trial->id);
    for (const session::Trial* trial : trialsOf(s.document, s.radioCapture)) {
        session::Trial rejected = *trial;
        rejected.reject = session::Reject{session::RejectReason::Torn, {}, {}};
        small::put(s.document, rejected);
    }
    const ChartModel chart = model(s.document);
    const ChartRow& hub = chart.groups[1].rows[0];
    CHECK(hub.state == "clock not settled");
    CHECK(hub.detail == "0 trials, 2 without ms");
    CHECK_FALSE(hub.valueMs);
    CHECK(hub.dotsMs.empty());
    CHECK(hub.value.empty());
    const ChartRow& radio = chart.groups[0].rows[1];
    CHECK(radio.state == "all rejected");
    CHECK(radio.detail == "0 trials, 5 rejected");
    CHECK(chart.notes[0] == "1000.0 camera frames a second, margin 2 ms.");
    CHECK(chart.footer[1] == "Interim: not every row has its 5 planned trials yet.");
}

TEST_CASE("one and two trials make a chart as far as they go", "[report]")
{
    const ChartModel one = model(single({31}));
    CHECK(one.groups[0].name.empty());
    CHECK(one.groups[0].rows[0].valueMs);
    CHECK_FALSE(one.groups[0].rows[0].lowMs);
    CHECK(one.groups[0].rows[0].beside.empty());
    CHECK(one.valueHeading == "mean");
    CHECK(one.footer == Lines{"Each dot is one trial. Dotted line: baseline."});
    CHECK(one.notes == Lines{"1000 camera frames a second."});
    CHECK(tickLabels(one) == "0 5 10 15 20 25 30 35 ");

    const ChartModel two = model(single({31, 35}));
    REQUIRE(two.groups[0].rows[0].highMs);
    CHECK(*two.groups[0].rows[0].highMs <= two.axisMaxMs); // wide, and still on the axis
}

TEST_CASE("the axis begins at 0 and its steps are nice", "[report]")
{
    CHECK(tickLabels(model(single({0}))) == "0.0 0.2 0.4 0.6 0.8 1.0 "); // press and response in one camera frame
    CHECK(tickLabels(model(single({1}))) == "0.0 0.2 0.4 0.6 0.8 1.0 ");
    CHECK(tickLabels(model(single({7}))) == "0 1 2 3 4 5 6 7 ");
    CHECK(tickLabels(model(single({71}))) == "0 20 40 60 80 ");
}

TEST_CASE("a session without figures has a chart without an axis", "[report]")
{
    const ChartModel empty = model({});
    CHECK(empty.title == "Button-to-pixel delay");
    CHECK(empty.groups.empty());
    CHECK(empty.ticks.empty());
    CHECK(empty.valueHeading.empty());
    CHECK(empty.footer.empty());

    small::Session s = small::session();
    s.document.trials.clear();
    s.document.settings.plan.trialsPerConfiguration.reset();
    const ChartModel planned = model(s.document);
    CHECK(planned.ticks.empty());
    CHECK_FALSE(planned.baselineMs);
    CHECK(planned.groups[0].rows[0].state == "no trials yet");
    CHECK(planned.footer.empty());
}

TEST_CASE("these runs only are named where other rows have runs enough", "[report]")
{
    small::Session s = small::session();
    std::int64_t number = 0;
    for (const session::Trial* trial : trialsOf(s.document, s.radioCapture)) {
        session::Trial moved = *trial;
        moved.run = session::RunId{1'000 + number++ % 4};
        small::put(s.document, session::Run{moved.run, "run", {}});
        small::put(s.document, moved);
    }
    const ChartModel chart = model(s.document);
    CHECK(chart.footer.back() == "Fewer than 4 runs: these runs only, another run may differ by more.");
    CHECK(chart.groups[0].rows[0].detail == "5 trials in 1 run, 1 rejected, 1 no reaction, baseline");
    CHECK(chart.groups[0].rows[1].detail == "5 trials");
}

TEST_CASE("boxes show quartiles about the median, and may leave 0 out and say so", "[report]")
{
    session::Document document = single({30, 31, 32, 33, 34, 35, 36, 37});
    document.settings.publish.form = session::ChartForm::Boxes;
    const ChartModel chart = model(document);
    const ChartRow& row = chart.groups[0].rows[0];
    // Hyndman & Fan type 7 of 30 .. 37 by hand: 1 + 7 p is 2.75, 4.5, 6.25.
    REQUIRE(row.box);
    CHECK_THAT(row.box->lower, WithinAbs(31.75, 1e-9));
    CHECK_THAT(row.box->median, WithinAbs(33.5, 1e-9));
    CHECK_THAT(row.box->upper, WithinAbs(35.25, 1e-9));
    CHECK_THAT(*row.valueMs, WithinAbs(33.5, 1e-9));
    CHECK_FALSE(row.lowMs);
    CHECK(row.dotsMs.size() == 8);
    CHECK(chart.valueHeading == "median, middle half");
    CHECK(chart.axisMinMs == 30);
    CHECK(chart.footer.front().find("The axis doesn't begin at 0.") != std::string::npos);
    CHECK_THAT(*chart.baselineMs, WithinAbs(33.5, 1e-9));
}

TEST_CASE("differences leave the baseline out, hold zero and the margin, and say the verdict", "[report]")
{
    small::Session s = small::session();
    const Results results = compute(s.document);
    const ChartModel chart = chartModel(s.document, results, session::ChartForm::Differences);
    std::size_t rows = 0;
    for (const ChartGroup& group : chart.groups)
        for (const ChartRow& row : group.rows) {
            ++rows;
            CHECK_FALSE(row.baseline);
            CHECK(row.dotsMs.empty());
            const ConfigurationResult& result = *find(results, row.configuration);
            CHECK(row.valueMs == result.comparison->differenceMs);
            if (!row.valueMs) {
                CHECK_FALSE(row.state.empty());
                continue;
            }
            CHECK_FALSE(row.verdict.empty());
            if (result.comparison->interval) // the one that the verdict is read off
                CHECK(*row.lowMs == result.comparison->interval->low());
        }
    CHECK(rows == results.configurations.size() - 1);
    CHECK(chart.axisMinMs < -*chart.marginMs);
    CHECK(chart.axisMaxMs > *chart.marginMs);
    CHECK(std::ranges::any_of(chart.ticks, [](const ChartTick& tick) { return tick.ms == 0 && tick.label == "0"; }));
    CHECK_FALSE(chart.baselineMs);
    CHECK(chart.subtitle == "Difference of mean delay to Wired pedal (31.0 ms), in ms");
}

TEST_CASE("the analyst's subtitle stands with the form it was written for", "[report]")
{
    small::Session s = small::session();
    s.document.settings.publish.subtitle = "From pedal to panel";
    const Results results = compute(s.document);
    CHECK(chartModel(s.document, results).subtitle == "From pedal to panel");
    CHECK(chartModel(s.document, results, session::ChartForm::Differences).subtitle != "From pedal to panel");
    s.document.settings.publish.form = session::ChartForm::Differences;
    CHECK(chartModel(s.document, results).subtitle == "From pedal to panel");
}

TEST_CASE("rows are ordered by value and grouped by a field of the checklist", "[report]")
{
    small::Session s = small::session();
    s.document.settings.publish.order = session::ChartOrder::Value;
    s.document.settings.publish.groupBy = "none";
    const ChartModel flat = model(s.document);
    REQUIRE(flat.groups.size() == 1);
    double last = -1;
    for (const ChartRow& row : flat.groups[0].rows) {
        if (row.valueMs)
            CHECK(*row.valueMs >= last);
        last = row.valueMs.value_or(1e9); // rows without a value come last
    }

    const std::vector<const session::Configuration*> configurations = inOrder(s.document.configurations);
    session::Configuration wired = *configurations.front();
    wired.texts["link"] = "cable";
    small::put(s.document, wired);
    CHECK(groupChoices(s.document).size() == 3);
    CHECK(groupChoices(s.document).back().key == "link");
    s.document.settings.publish.groupBy = "link";
    const ChartModel grouped = model(s.document);
    REQUIRE(grouped.groups.size() == 2);
    CHECK(std::ranges::any_of(grouped.groups, [](const ChartGroup& group) { return group.name == "cable"; }));
}
