#include "core/report/run_sheet_text.h"
#include "core/analysis/results.h"
#include "core/session/edits.h"
#include "small_session.h"

#include <QXmlStreamReader>
#include <catch2/catch.hpp>
#include <map>
#include <set>

using Catch::Contains;
using namespace analysis;
using namespace report;

namespace {

session::Document planned(int trials, int runs)
{
    session::Document document = small::session().document;
    document.settings.plan.trialsPerConfiguration = trials;
    document.settings.plan.runsPerConfiguration = runs;
    return document;
}

std::vector<session::ConfigurationId> order(const session::RunSheet& sheet)
{
    std::vector<session::ConfigurationId> ids;
    for (const session::SheetLine& line : sheet.lines)
        ids.push_back(line.configuration);
    return ids;
}

} // namespace

TEST_CASE("a run sheet has every configuration once a block and all planned trials", "[report]")
{
    const session::Document document = planned(22, 4);
    const session::RunSheet sheet = drawRunSheet(document, 7);
    REQUIRE(sheet.lines.size() == 12);
    std::map<session::ConfigurationId, int> trials;
    std::set<std::pair<int, session::ConfigurationId>> seen;
    for (std::size_t i = 0; i < sheet.lines.size(); ++i) {
        CHECK(sheet.lines[i].block == static_cast<int>(i / 3) + 1);
        CHECK(seen.insert({sheet.lines[i].block, sheet.lines[i].configuration}).second);
        CHECK(sheet.lines[i].trials == (sheet.lines[i].block <= 2 ? 6 : 5)); // 22 = 6 + 6 + 5 + 5
        trials[sheet.lines[i].configuration] += sheet.lines[i].trials;
    }
    for (const auto& [id, count] : trials)
        CHECK(count == 22);
}

TEST_CASE("the order of a run sheet hangs on its seed alone", "[report]")
{
    const session::Document document = planned(20, 5);
    CHECK(order(drawRunSheet(document, 7)) == order(drawRunSheet(document, 7)));
    CHECK(order(drawRunSheet(document, 7)) != order(drawRunSheet(document, 8))); // 6^5 orders: these two differ
}

TEST_CASE("every order of three configurations comes about as often as the others", "[report]")
{
    const session::Document document = planned(6'000 / 3, 2'000);
    const auto ids = order(drawRunSheet(document, 1));
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
    document.settings.plan.trialsPerConfiguration.reset();
    CHECK(runSheetProblem({}) == "The session has no configurations yet; name them on the plan page.");
    CHECK(runSheetProblem(document)
          == "The plan doesn't say how many runs and trials each configuration gets; set both on the plan page.");
    CHECK(runSheetProblem(planned(3, 4))
          == "The plan has 4 runs for 3 trials of each configuration; plan at least one trial a run.");
    CHECK_THAT(runSheetProblem(planned(1'000'000, 900'000)), Contains("more than 10000 runs"));
    CHECK(runSheetProblem(planned(4, 4)).empty());
}

TEST_CASE("a run sheet prints its order, seed and room for the captures", "[report]")
{
    session::Document document = planned(5, 1);
    const session::RunSheet sheet = drawRunSheet(document, 3);
    const std::string text = runSheetText(document, sheet);
    CHECK_THAT(text, Catch::StartsWith("Run sheet: Pedal links\n3 runs in this order, seed 3."));
    CHECK_THAT(text, Contains("\nBlock 1\n      Configuration      Trials  Capture\n1.    "));
    CHECK_THAT(text, Contains("Pedal through hub       5  ____"));
    const std::string csv = runSheetCsv(document, sheet);
    CHECK_THAT(csv, Catch::StartsWith("place,block,configuration,group,trials,run,captures,ticked\r\n1,1,"));
    CHECK_THAT(csv, Contains(",1,Pedal through hub,75 Hz panel,5,,,no\r\n"));
}

TEST_CASE("the printed run sheet is well-formed whatever the names hold", "[report]")
{
    const std::string name = GENERATE(as<std::string>{}, "<b>bold</b> & ]]> \"x\" 'y'",
                                      "a\x01\x1f\x7f"
                                      "b",
                                      "<!-- <script>", "\xef\xbf\xbe\xef\xbf\xbf", "\xed\xa0\x80 half a pair",
                                      "\xf0\x9f\x8e\xa5 whole pair", "\xff\xfe not UTF-8");
    session::Document document = planned(5, 1);
    auto configuration = std::make_shared<session::Configuration>(*document.configurations.begin()->second);
    configuration->name = name;
    document.configurations.begin()->second = configuration;
    document.settings.title = name;
    const std::string page = runSheetHtml(document, drawRunSheet(document, 3));
    QXmlStreamReader xml(QByteArray::fromStdString(page));
    QString words;
    int cells = 0;
    while (!xml.atEnd()) {
        xml.readNext();
        cells += xml.isStartElement() && xml.name() == QLatin1String("td");
        CHECK((!xml.isStartElement() || (xml.name() != QLatin1String("b") && xml.name() != QLatin1String("script"))));
        if (xml.isCharacters())
            words += xml.text();
    }
    INFO(xml.errorString().toStdString());
    CHECK_FALSE(xml.hasError());
    CHECK(cells == 3 * 5);
    if (name.front() == '<')
        CHECK(words.contains(QString::fromStdString(name)));
}

TEST_CASE("a baseline with more runs of its own has them spread over the blocks", "[report]")
{
    session::Document document = planned(20, 4);
    document.settings.plan.baselineRuns = 7;
    document.settings.plan.baselineTrials = 35;
    const session::ConfigurationId baseline = document.settings.plan.baseline;
    const session::RunSheet sheet = drawRunSheet(document, 7);
    REQUIRE(sheet.lines.size() == 2 * 4 + 7);
    std::map<int, int> inBlock;
    int trials = 0;
    for (const session::SheetLine& line : sheet.lines)
        if (line.configuration == baseline) {
            ++inBlock[line.block];
            trials += line.trials;
        }
    CHECK(trials == 35);
    REQUIRE(inBlock.size() == 4);
    for (const auto& [block, runs] : inBlock)
        CHECK((runs == 1 || runs == 2));
    document.settings.plan.baselineTrials = 6;
    CHECK(runSheetProblem(document)
          == "The plan has 7 runs for 6 trials of the baseline; plan at least one trial a run.");
}

namespace {

/// Three configurations and a sheet of two blocks in the analyst's order; captures "c1" to "c5" came in afterwards.
struct Filmed {
    session::Document document;
    std::vector<session::ConfigurationId> configurations;
    std::vector<session::CaptureId> captures;

    Filmed()
    {
        const char* names[] = {"wired", "radio", "hub"};
        for (int i = 0; i < 3; ++i) {
            session::Configuration configuration;
            configuration.name = names[i];
            configurations.push_back({document.nextId});
            document = apply(document, addConfiguration(document, configuration));
        }
        document = apply(document, setBaseline(document, configurations[0]));
        session::RunSheet sheet;
        for (int block = 1; block <= 2; ++block)
            for (const session::ConfigurationId id : configurations)
                sheet.lines.push_back({block, id, 3, {}, false});
        document = apply(document, setRunSheet(document, sheet));
        for (int i = 1; i <= 5; ++i) {
            session::NewCapture capture;
            capture.capture.name = capture.capture.path = "c" + std::to_string(i);
            capture.capture.frames = {100};
            capture.capture.width = capture.capture.height = 10;
            const session::Edit edit = addCaptures(document, {capture});
            document = apply(document, edit);
            captures.push_back(inOrder(document.captures).back()->id);
        }
    }
    void tag(int capture, int configuration)
    {
        document = apply(document, tagCapture(document, captures[static_cast<std::size_t>(capture)],
                                              configurations[static_cast<std::size_t>(configuration)], {}));
    }
};

} // namespace

TEST_CASE("captures in order are proposed for the open lines in order", "[report]")
{
    Filmed filmed;
    auto proposals = sheetProposals(filmed.document);
    REQUIRE(proposals.size() == 5);
    for (std::size_t i = 0; i < 5; ++i) {
        CHECK(proposals[i].capture == filmed.captures[i]);
        CHECK(proposals[i].line == i);
        CHECK_FALSE(proposals[i].expected);
    }
    filmed.document = apply(filmed.document, takeSheetLines(filmed.document, {{filmed.captures[0], 0}}));
    filmed.document =
        apply(filmed.document, tickSheetLine(filmed.document, 1, true)); // filmed, its footage comes later
    proposals = sheetProposals(filmed.document);
    REQUIRE(proposals.size() == 4);
    CHECK(proposals[0].capture == filmed.captures[1]);
    CHECK(proposals[0].line == std::size_t{2});
}

TEST_CASE("a capture tagged against the order is warned about", "[report]")
{
    Filmed filmed;
    filmed.tag(0, 2);
    const auto proposals = sheetProposals(filmed.document);
    REQUIRE(proposals.size() == 5);
    CHECK(proposals[0].line == std::size_t{2}); // the next line of what it is tagged with
    CHECK(proposals[0].expected == std::size_t{0});
    CHECK(proposals[1].line == std::size_t{0});
    CHECK(proposals[3].line == std::size_t{3}); // line 3 is taken
    CHECK(sheetWarning(filmed.document, filmed.captures[0])
          == "The sheet expects wired next (line 1); c1 is tagged with hub.");
    CHECK(sheetWarning(filmed.document, filmed.captures[1]).empty());

    filmed.tag(0, 0);
    CHECK(sheetWarning(filmed.document, filmed.captures[0]).empty());
    filmed.document = apply(filmed.document, takeSheetLines(filmed.document, {{filmed.captures[0], 0}}));
    const session::RunId run = find(filmed.document, filmed.captures[0])->run;
    filmed.document =
        apply(filmed.document, tagCapture(filmed.document, filmed.captures[0], filmed.configurations[1], run));
    CHECK(sheetWarning(filmed.document, filmed.captures[0])
          == "Line 1 of the sheet is a run of wired; c1 is tagged with radio.");
}

TEST_CASE("captures that came in before the sheet was drawn are left alone", "[report]")
{
    Filmed filmed;
    for (int i = 0; i < 4; ++i)
        filmed.tag(i, 2);
    filmed.document = apply(filmed.document, setRunSheet(filmed.document, filmed.document.settings.runSheet));
    CHECK(sheetProposals(filmed.document).empty());
    CHECK(sheetWarning(filmed.document, filmed.captures[0]).empty());
}

TEST_CASE("block differences go by the sheet where the runs stand on it", "[report]")
{
    // Radio is 10 ms longer than wired in block 1 and 14 ms longer in block 2; runs were read in no order of blocks.
    small::Builder made;
    const auto wired = made.configuration("wired"), radio = made.configuration("radio");
    const auto clock = made.clock("camera", 1000, {made.source("rate", 1e-4)});
    session::RunSheet sheet;
    const auto filmed = [&](int block, session::ConfigurationId id, const char* name, std::int64_t count) {
        const auto run = made.run(name);
        sheet.lines.push_back({block, id, 4, run, false});
        made.trials(made.capture(name, clock), id, run, {count, count + 1, count - 1, count});
    };
    filmed(1, wired, "a", 40);
    filmed(1, radio, "b", 50);
    filmed(2, wired, "c", 42);
    filmed(2, radio, "d", 56);
    made.document.settings.plan.baseline = wired;
    const auto blocksOf = [&] { return find(compute(made.document), radio)->checks.blocks; };
    std::swap(sheet.lines[1].block,
              sheet.lines[2].block); // not what was filmed: pairs (a, c) and (b, d) hold one side each
    std::swap(sheet.lines[1], sheet.lines[2]);
    made.document.settings.runSheet = sheet;
    std::vector<double> differences = blocksOf()->differencesMs; // by the order of reading instead
    REQUIRE(differences.size() == 2);
    sheet.lines[0].block = 1, sheet.lines[1].block = 2; // a, c
    sheet.lines[2].block = 2, sheet.lines[3].block = 1; // b, d: blocks hold a with d, c with b
    made.document.settings.runSheet = sheet;
    differences = blocksOf()->differencesMs;
    REQUIRE(differences.size() == 2);
    CHECK(differences[0] == Approx(16).epsilon(1e-9)); // 56 - 40; exact but for binary fractions
    CHECK(differences[1] == Approx(8).epsilon(1e-9));  // 50 - 42
}
