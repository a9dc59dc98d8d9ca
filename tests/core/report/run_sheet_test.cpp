#include "core/report/run_sheet.h"
#include "small_session.h"

#include <catch2/catch.hpp>
#include <map>
#include <set>

using Catch::Contains;
using namespace report;

namespace {

session::Document planned(int trials, int runs)
{
    session::Document document = small::session().document;
    document.settings.plan.trialsPerConfiguration = trials;
    document.settings.plan.runsPerConfiguration = runs;
    return document;
}

std::vector<session::ConfigurationId> order(const RunSheet& sheet)
{
    std::vector<session::ConfigurationId> ids;
    for (const SheetRun& run : sheet.runs)
        ids.push_back(run.configuration);
    return ids;
}

} // namespace

TEST_CASE("a run sheet has every configuration once a block and all planned trials", "[report]")
{
    const session::Document document = planned(22, 4);
    const RunSheet sheet = runSheet(document, 7);
    REQUIRE(sheet.runs.size() == 12);
    std::map<session::ConfigurationId, int> trials;
    std::set<std::pair<int, session::ConfigurationId>> seen;
    for (std::size_t i = 0; i < sheet.runs.size(); ++i) {
        CHECK(sheet.runs[i].block == static_cast<int>(i / 3) + 1);
        CHECK(seen.insert({sheet.runs[i].block, sheet.runs[i].configuration}).second);
        CHECK(sheet.runs[i].trials == (sheet.runs[i].block <= 2 ? 6 : 5)); // 22 = 6 + 6 + 5 + 5
        trials[sheet.runs[i].configuration] += sheet.runs[i].trials;
    }
    for (const auto& [id, count] : trials)
        CHECK(count == 22);
}

TEST_CASE("the order of a run sheet hangs on its seed alone", "[report]")
{
    const session::Document document = planned(20, 5);
    CHECK(order(runSheet(document, 7)) == order(runSheet(document, 7)));
    CHECK(order(runSheet(document, 7)) != order(runSheet(document, 8))); // 6^5 orders: these two differ
}

TEST_CASE("every order of three configurations comes about as often as the others", "[report]")
{
    const session::Document document = planned(6'000 / 3, 2'000);
    const auto ids = order(runSheet(document, 1));
    std::map<std::vector<session::ConfigurationId>, int> times;
    for (std::size_t i = 0; i < ids.size(); i += 3)
        ++times[{ids[i], ids[i + 1], ids[i + 2]}];
    CHECK(times.size() == 6);
    for (const auto& [which, count] : times)
        CHECK(std::abs(count - 333) < 84); // of 2000 with chance 1/6: 5 SD of 16.7
}

TEST_CASE("a plan that gives no run sheet says what it lacks", "[report]")
{
    session::Document document = small::session().document;
    CHECK(runSheetProblem({}) == "The session has no configurations yet; name them on the plan page.");
    CHECK(runSheetProblem(document) == "The plan doesn't say how many runs and trials each configuration gets; set both on the plan page.");
    CHECK(runSheetProblem(planned(3, 4)) == "The plan has 4 runs for 3 trials of each configuration; plan at least one trial a run.");
    CHECK_THAT(runSheetProblem(planned(1'000'000, 900'000)), Contains("more than 10000 runs"));
    CHECK(runSheetProblem(planned(4, 4)).empty());
}

TEST_CASE("a run sheet prints its order, seed and room for the captures", "[report]")
{
    session::Document document = planned(5, 1);
    const RunSheet sheet = runSheet(document, 3);
    const std::string text = runSheetText(document, sheet);
    CHECK_THAT(text, Catch::StartsWith("Run sheet: Pedal links\n3 runs in this order, seed 3."));
    CHECK_THAT(text, Contains("\nBlock 1\n      Configuration      Trials  Capture\n1.    "));
    CHECK_THAT(text, Contains("Pedal through hub       5  ____"));
    const std::string csv = runSheetCsv(document, sheet);
    CHECK_THAT(csv, Catch::StartsWith("place,block,configuration,group,trials\r\n1,1,"));
    CHECK_THAT(csv, Contains(",1,Pedal through hub,75 Hz panel,5\r\n"));
}
