#include "core/report/earlier_session.h"
#include "core/error.h"
#include "core/report/budget_table.h"
#include "core/report/card.h"
#include "core/report/chart_model.h"
#include "core/report/html_report.h"
#include "core/report/method_note.h"
#include "core/report/publication_changes.h"
#include "core/report/results_json.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "core/session/edits.h"
#include "core/session/session_store.h"
#include "tests/core/analysis/small_session.h"

#include <QFile>
#include <QJsonDocument>
#include <QTemporaryDir>
#include <algorithm>
#include <catch2/catch.hpp>

using Catch::Contains;
using Catch::WithinAbs;
using namespace report;

namespace {

/// Configurations with delays in ms, at 1000 camera frames a second, all in one run each.
session::Document measured(const std::string& title,
                           const std::vector<std::pair<std::string, std::vector<std::int64_t>>>& configurations)
{
    small::Builder b;
    b.document.settings.title = title;
    const auto clock = b.clock("Fast camera", 1000, {b.source("typed", 0.001)});
    for (const auto& [name, delays] : configurations) {
        const auto id = b.configuration(name), first = b.document.settings.plan.baseline;
        if (!first)
            b.document.settings.plan.baseline = id;
        const auto capture = b.capture(name + ".mp4", clock);
        const auto run = b.run("run of " + name);
        std::int64_t press = 100;
        for (const std::int64_t delay : delays)
            b.trial(capture, id, run, std::exchange(press, press + 100), press + delay);
    }
    return b.document;
}

std::filesystem::path writtenInto(const QTemporaryDir& folder, const char* name, const session::Document& document)
{
    const std::filesystem::path path = std::filesystem::path(folder.path().toStdString()) / name;
    session::SessionStore::write(path, {document, {}});
    return path;
}

struct Bench {
    QTemporaryDir folder;
    session::Document now =
        measured("Links", {{"Direct", {30, 31, 32, 33, 34, 35}}, {"Hub", {33, 34, 35, 36, 37, 38}}});
    std::filesystem::path file = writtenInto(
        folder, "spring.tallyframe",
        measured("Spring bench", {{"Cable", {34, 35, 36, 37, 38, 39}}, {"Bridge", {44, 45, 46, 47, 48, 49}}}));

    session::EarlierSessionId add()
    {
        session::EarlierSession read = readEarlierSession(file, {});
        read.path = "spring.tallyframe";
        now = session::apply(now, session::addEarlierSession(now, read));
        return now.earlierSessions.rbegin()->first;
    }
    void bridge(session::EarlierSessionId id, const std::string& here, const std::string& there)
    {
        const session::EarlierSession& earlier = *session::find(now, id);
        const auto mine =
            std::ranges::find_if(now.configurations, [&](const auto& c) { return c.second->name == here; });
        const auto theirs = std::ranges::find(earlier.configurations, there, &session::EarlierConfiguration::name);
        now = session::apply(now, session::setBridge(now, id, mine->first, theirs->id));
    }
};

std::string sentencesOf(const session::Document& document) { return scriptText(document, analysis::compute(document)); }

} // namespace

TEST_CASE("an earlier session stands in the chart and is compared where a set-up was measured in both", "[report]")
{
    Bench bench;
    const session::Document before = bench.now;
    const auto id = bench.add();
    analysis::Results results = analysis::compute(bench.now);
    REQUIRE(results.earlier.size() == 1);
    CHECK(results.configurations.size() == 2);
    ChartModel chart = chartModel(bench.now, results);
    REQUIRE(chart.groups.size() == 2);
    CHECK(chart.groups[1].name == "Earlier: Spring bench");
    REQUIRE(chart.groups[1].rows.size() == 2);
    CHECK(chart.groups[1].rows[1].earlier);
    CHECK_FALSE(chart.groups[0].rows[0].earlier);
    CHECK_THAT(*chart.groups[1].rows[1].valueMs, WithinAbs(46.5, 1e-9));
    CHECK(chart.groups[1].rows[1].dotsMs.size() == 6);
    CHECK_THAT(chart.notes.back(), Contains("Spring bench") && Contains("1000.0 camera frames a second")
                                       && Contains("first visible change") && !Contains("ompared"));
    // Without a bridge nothing compares.
    CHECK_THAT(sentencesOf(bench.now),
               !Contains("Spring bench”) takes") && Contains("Bridge (earlier, “Spring bench”)"));
    chart = chartModel(bench.now, results, session::ChartForm::Differences);
    CHECK(chart.groups[1].rows[0].state == "Not compared");
    CHECK_THAT(chart.notes.back(), Contains("Not compared: no set-up is named"));
    CHECK_THAT(chart.footer.front(), !Contains("Earlier rows"));

    bench.bridge(id, "Direct", "Cable");
    results = analysis::compute(bench.now);
    const analysis::ConfigurationResult& row = results.earlier[0].configurations[1];
    REQUIRE(row.comparison);
    // The bridge is the baseline: 46.5 - 36.5, SD of six steps of 1 ms.
    CHECK_THAT(*row.comparison->differenceMs, WithinAbs(10, 1e-9));
    CHECK(row.comparison->verdict == stats::Verdict::Longer);
    chart = chartModel(bench.now, results, session::ChartForm::Differences);
    REQUIRE(chart.groups[1].rows.size() == 1); // the bridge's own difference is none
    CHECK(chart.groups[1].rows[0].name == "Bridge");
    CHECK_THAT(chart.footer.front(), Contains("Earlier rows: each by itself at 95 %."));
    CHECK_THAT(chart.notes.back(), Contains("by way of Direct, measured in both (32.5 ms here, 36.5 ms there)"));
    CHECK_THAT(sentencesOf(bench.now),
               Contains("Bridge (earlier, “Spring bench”) takes 10.0 milliseconds longer than Direct")
                   && Contains("by way of Direct, measured in both sessions"));

    bench.bridge(id, "Hub", "Cable");
    results = analysis::compute(bench.now);
    // (46.5 - 36.5) - (32.5 - 35.5)
    CHECK_THAT(*results.earlier[0].configurations[1].comparison->differenceMs, WithinAbs(13, 1e-9));
    CHECK(results.earlier[0].configurations[1].comparison->interval->halfWidthMs
          > results.configurations[1].comparison->interval->halfWidthMs);

    CHECK(cards(results).size() == scriptSentences(results).size());
    CHECK(cards(results).back().name == "Bridge (earlier, “Spring bench”)");
    CHECK_THAT(methodNote(bench.now, results, "1"), Contains("Earlier sessions") && Contains("spring.tallyframe"));
    CHECK_THAT(earlierCsv(bench.now, results), Contains("Bridge,,6,6,0,1,46.5,") && Contains("Measured in both"));
    CHECK_THAT(budgetCsv(results), Contains("earlier difference,\"Bridge (earlier, “Spring bench”)\",Direct"));
    CHECK_THAT(resultsText(bench.now, results), Contains("Earlier: “Spring bench”"));
    CHECK(htmlReport(bench.now, results, {"1", {}, {}}).contains("Earlier: Spring bench"));
    const QJsonDocument json = QJsonDocument::fromJson(resultsJson(bench.now, results, "1"));
    CHECK(json["earlier"][0]["configurations"][1]["comparison"]["verdict"].toString() == "longer");
    CHECK(json["earlier"][0]["bridge"]["here"].toString() == "Hub");

    // What moved when the bridge did is the earlier session's own figure alone.
    const PublishedState with = publishedState(bench.now, results, "s", "1");
    const session::Document other = session::apply(bench.now, session::setBridge(bench.now, id, {}, {}));
    const Changes changes = changesBetween(with, publishedState(other, analysis::compute(other), "s", "1"));
    REQUIRE(changes.figures.size() == 1);
    CHECK(changes.figures[0].what == "Bridge (earlier, “Spring bench”) against Direct");
    CHECK(changes.figures[0].because.at(0).what == "The earlier session Spring bench");

    // Undone like any edit; gone with all it showed.
    session::Document after = session::apply(bench.now, session::removeEarlierSession(bench.now, id));
    after.nextId = before.nextId;
    CHECK(after == before);
}

TEST_CASE("what is kept of an earlier session outlives its file, and is read again when asked", "[report]")
{
    Bench bench;
    const auto id = bench.add();
    bench.bridge(id, "Direct", "Cable");
    const auto written = writtenInto(bench.folder, "now.tallyframe", bench.now);
    const session::Document stored = session::SessionStore(written).read().document;
    CHECK(stored == bench.now);
    const double was = *analysis::compute(stored).earlier[0].configurations[1].comparison->differenceMs;
    writtenInto(bench.folder, "spring.tallyframe",
                measured("Spring bench", {{"Bridge", {54, 55, 56, 57, 58, 59}}, {"Cable", {34, 35, 36, 37, 38, 39}}}));
    CHECK(*analysis::compute(stored).earlier[0].configurations[1].comparison->differenceMs == was);

    const session::EarlierSession& kept = *session::find(stored, id);
    CHECK(session::readEarlierAgain(stored, id, kept).changes.empty());
    session::EarlierSession again = readEarlierSession(bench.file, {});
    again.path = "spring.tallyframe";
    const session::Document read = session::apply(stored, session::readEarlierAgain(stored, id, again));
    const analysis::Results results = analysis::compute(read);
    CHECK(results.earlier[0].there == results.earlier[0].configurations[1].configuration); // found by its name
    CHECK_THAT(*results.earlier[0].configurations[0].comparison->differenceMs, WithinAbs(20, 1e-9));
    // A configuration that goes takes its bridge along.
    session::Document without = read;
    without.trials.clear();
    without.captures.clear();
    without = session::apply(without, session::removeConfiguration(without, results.baseline));
    CHECK_FALSE(without.earlierSessions.begin()->second->here);
}

TEST_CASE("sessions measured otherwise are warned about", "[report]")
{
    Bench bench;
    bench.now.settings.event.onset = session::OnsetRule::Threshold;
    bench.add();
    const auto warnings = analysis::compute(bench.now).warnings;
    CHECK(std::ranges::any_of(warnings, [](const std::string& warning) {
        return warning.find("another onset rule: first visible change there, a threshold of 4 standard deviations here")
               != std::string::npos;
    }));
    CHECK(std::ranges::any_of(warnings, [](const std::string& warning) {
        return warning.find("say which set-up was measured in both") != std::string::npos;
    }));
}

TEST_CASE("a file that is no session's, this one's or without trials is refused in a sentence", "[report]")
{
    Bench bench;
    const std::filesystem::path folder = bench.folder.path().toStdString();
    const auto refusal = [&](const std::filesystem::path& file, const std::filesystem::path& own = {}) {
        try {
            readEarlierSession(file, own);
        } catch (const core::Error& error) {
            return std::string(error.what());
        }
        return std::string();
    };
    CHECK_THAT(refusal(bench.file, bench.file), Contains("is this session itself"));
    CHECK_THAT(refusal(folder / "gone.tallyframe"), Contains("gone.tallyframe"));
    QFile other(bench.folder.filePath("other.tallyframe"));
    REQUIRE(other.open(QIODevice::WriteOnly));
    other.write("no session at all");
    other.close();
    CHECK_THAT(refusal(folder / "other.tallyframe"), Contains("other.tallyframe"));
    CHECK_THAT(refusal(writtenInto(bench.folder, "empty.tallyframe", measured("Empty", {{"Direct", {}}}))),
               Contains("nothing to show"));
    bench.add();
    CHECK_THROWS_WITH(bench.add(), Contains("is shown already"));
}
