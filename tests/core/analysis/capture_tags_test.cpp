#include "core/analysis/capture_tags.h"
#include "tests/core/session/refusals.h"
#include <catch2/catch.hpp>

using namespace analysis;
using namespace session;
using Catch::Contains;

namespace {

/// Three set-ups and captures as a camera without rate tags stores them, each on a clock of its own.
struct TagBench {
    Document d;

    TagBench()
    {
        for (const char* name : {"Direct", "Powered hub", "Hub"}) {
            Configuration made;
            made.name = name;
            d = apply(d, addConfiguration(d, made));
        }
    }
    NewCapture film(const std::string& name) const
    {
        NewCapture made;
        made.capture.name = name;
        made.capture.path = "footage/" + name + ".mp4";
        made.capture.frames = {900};
        made.capture.width = 1920;
        made.capture.height = 1080;
        made.capture.stored = StoredAs{"h264", "", 1 / 30.0};
        return made;
    }
    CaptureId add(const NewCapture& made)
    {
        d = apply(d, addCaptures(d, {made}));
        REQUIRE(contradiction(d).empty());
        return inOrder(d.captures).back()->id;
    }
    CaptureId add(const std::string& name) { return add(film(name)); }
    ConfigurationId configuration(std::size_t place) const { return inOrder(d.configurations)[place]->id; }
    const Capture& capture(CaptureId id) const { return *find(d, id); }
    Edit tag(const std::map<CaptureId, TagChoice>& choices, const std::string& pattern = {})
    {
        std::vector<CaptureTags> tags;
        for (const TagRow& row : tagRows(d, choices, pattern))
            if (row.isChanged())
                tags.push_back(row.tags);
        Edit edit = tagCaptures(d, tags);
        d = apply(d, edit);
        REQUIRE(contradiction(d).empty());
        return edit;
    }
    void sheet(const std::vector<std::size_t>& order)
    {
        RunSheet drawn;
        for (const std::size_t place : order)
            drawn.lines.push_back({1, configuration(place), 2, {}, false});
        d = apply(d, setRunSheet(d, drawn));
    }
};

} // namespace

TEST_CASE("eight files alike are proposed to share one clock, which one edit does", "[capture-tags]")
{
    TagBench table;
    std::vector<CaptureId> films;
    const auto averaged = [&](const std::string& name, const std::string& rate) { // over a file of whatever length
        NewCapture made = table.film(name);
        made.capture.rateTags = {{"container frame rate", rate}};
        return made;
    };
    for (int i = 1; i <= 8; ++i)
        films.push_back(table.add(averaged("C000" + std::to_string(i), i == 5 ? "299/10" : "30")));
    REQUIRE(table.d.clocks.size() == 8);
    const auto same = sameCameras(table.d);
    REQUIRE(same.size() == 7);
    CHECK(same[0].capture == films[1]);
    CHECK(same[6].like == films[0]);
    CHECK(same[6].alike == "1920 x 1080, h264, stored at 30 a second, no tags on the rate");

    // Nothing is shared unless the analyst says so.
    const Document before = table.d;
    std::map<CaptureId, TagChoice> choices;
    CHECK_FALSE(tagRows(table.d, choices)[3].tags.clock);
    for (const CaptureId film : films)
        choices[film].sameCamera = true;
    const Edit edit = table.tag(choices);
    CHECK(edit.label == "tag 8 captures");
    CHECK(table.d.clocks.size() == 1);
    for (const CaptureId film : films)
        CHECK(table.capture(film).clock == table.capture(films[0]).clock);
    CHECK(sameCameras(table.d).empty());
    Document undone = apply(table.d, reversed(edit));
    undone.nextId = before.nextId; // numbers are never given twice
    CHECK(undone == before);
}

TEST_CASE("whatever tells of the rate keeps captures on clocks of their own, in words", "[capture-tags]")
{
    TagBench table;
    const CaptureId first = table.add("a");
    NewCapture other = table.film("b");
    std::string expected;
    SECTION("size")
    {
        other.capture.width = 1280;
        expected = "its picture is 1280 x 1080, that of a 1920 x 1080";
    }
    SECTION("codec")
    {
        other.capture.stored->codec = "hevc";
        expected = "it is stored as hevc, a as h264";
    }
    SECTION("stored rate, though it is near")
    {
        other.capture.stored->stepSeconds = 1001 / 30000.0;
        expected = "it is stored at 29.97 a second, a stored at 30 a second";
    }
    SECTION("tags")
    {
        other.capture.rateTags = {{"comment", "HFR 120"}};
        expected = "its tags say: comment HFR 120; those of a: no tags on the rate";
    }
    SECTION("camera")
    {
        other.capture.stored->camera = "Bench X1";
        expected = "only one of them and a names its camera";
    }
    SECTION("nobody knows how it is stored")
    {
        other.capture.stored.reset();
        expected = "this session doesn't know how b is stored: it was taken in by an earlier version";
    }
    SECTION("a change of speed")
    {
        other.capture.pieces = {{{0}, {}, true, 1 / 30.0}, {{100}, {}, true, 1 / 120.0}};
        other.pieceEvidence = {{}, {}};
        expected = "b changes its speed: share its clocks on the clock page";
    }
    const CaptureId second = table.add(other);
    CHECK(likeness(table.d, second, table.capture(first)).differs == expected);
    CHECK(sameCameras(table.d).empty());
}

TEST_CASE("clocks that say otherwise of the rate aren't proposed, and a settled one stays", "[capture-tags]")
{
    TagBench table;
    const CaptureId a = table.add("a"), b = table.add("b"), c = table.add("c");
    const auto settle = [&](CaptureId id, double rate) {
        const ClockId clock = table.capture(id).clock;
        table.d = apply(table.d, declareRate(table.d, clock, rate, 0.001, "typed in"));
        table.d = apply(table.d, settleClock(table.d, clock, find(table.d, clock)->evidence.front().id, ""));
    };
    settle(b, 240);
    auto same = sameCameras(table.d); // the settled clock is the one to be shared
    REQUIRE(same.size() == 2);
    CHECK(same[0].capture == a);
    CHECK(same[1].capture == c);
    CHECK(same[1].clock == table.capture(b).clock);

    const ClockId clock = table.capture(c).clock;
    table.d = apply(table.d, declareRate(table.d, clock, 120, 0.001, "typed in"));
    CHECK_THAT(likeness(table.d, c, table.capture(b)).differs,
               Contains("its declared says 120") && Contains("the declared of b 240"));
    same = sameCameras(table.d);
    REQUIRE(same.size() == 1);
    CHECK(same[0].capture == a);
    settle(a, 240); // both settled: nothing that the analyst decided goes
    CHECK(sameCameras(table.d).empty());
}

TEST_CASE("a capture's name tells configuration and run by a pattern", "[capture-tags]")
{
    TagBench table;
    const auto read = [&](const std::string& pattern, const std::string& name) {
        const auto parts = partsOfName(table.d, pattern, name);
        if (!parts)
            return std::string("doesn't fit");
        const Configuration* one = find(table.d, parts->configuration);
        return (one ? one->name : "-") + "/" + parts->run;
    };
    CHECK(read("%c_%r", "direct_03") == "Direct/03");
    CHECK(read("%c_%r", "powered-hub_2") == "Powered hub/2");
    CHECK(read("%c_%r", "PoweredHub_2") == "Powered hub/2");
    CHECK(read("%c_%r", "hub_2") == "Hub/2");
    CHECK(read("%c_%r", "POWERED_2") == "Powered hub/2"); // no other begins so
    CHECK(read("%c_%r", "3_2") == "Hub/2");               // by its number
    CHECK(read("%c_%r", "4_2") == "doesn't fit");
    CHECK(read("*-%c", "evening-take 4-direct") == "Direct/");
    CHECK(read("take %r.*", "take 7.final") == "-/7");
    CHECK(read("take (%r)", "take (7)") == "-/7"); // brackets are brackets
    CHECK(read("", "direct_03") == "doesn't fit");
    for (const char* name : {"Direct, 144 Hz", "Direct, 75 Hz"}) {
        Configuration made;
        made.name = name;
        table.d = apply(table.d, addConfiguration(table.d, made));
    }
    CHECK(read("%c_%r", "direct-75hz_1") == "Direct, 75 Hz/1");
    CHECK(read("%c_%r", "direct-75_1") == "Direct, 75 Hz/1");
    CHECK(read("%c_%r", "direct_1") == "Direct/1"); // by its whole name, though others begin so
    CHECK(patternProblem("%c_%r").empty());
    CHECK(patternProblem("run")
          == "A pattern needs %c where the configuration stands in the name, or %r where the run "
             "does.");
    CHECK(patternProblem("%c%c") == "A pattern has %c and %r once each at most.");
    CHECK(read("%c%c", "directdirect") == "doesn't fit");
}

TEST_CASE("the analyst's word goes before the pattern, that before the sheet, and then each is its own run",
          "[capture-tags]")
{
    TagBench table;
    table.sheet({1, 0, 2});
    const CaptureId a = table.add("direct_1"), b = table.add("b"), c = table.add("c"), d = table.add("d");
    auto rows = tagRows(table.d, {});
    CHECK(rows[0].tags.sheetLine == 0U); // nothing but the order tells
    CHECK(rows[0].tags.configuration == table.configuration(1));
    CHECK(rows[2].run == "run 3");
    CHECK_FALSE(rows[3].tags.sheetLine); // no line is left
    CHECK(rows[3].run == "d");

    rows = tagRows(table.d, {}, "%c_%r");
    CHECK(rows[0].tags.configuration == table.configuration(0));
    CHECK(rows[0].run == "Direct 1");
    CHECK(rows[1].tags.sheetLine == 0U);

    std::map<CaptureId, TagChoice> choices;
    choices[a].configuration = table.configuration(2);
    rows = tagRows(table.d, choices);
    CHECK(rows[0].tags.sheetLine == 2U); // the next line of that configuration
    CHECK(rows[1].tags.sheetLine == 0U);
    choices[b].lampReference = true;
    choices[c].run = choices[d].run = TagChoice::Run::Named;
    choices[c].runName = choices[d].runName = "evening";
    table.tag(choices);
    CHECK(table.capture(a).run == table.d.settings.runSheet->lines[2].run);
    CHECK(table.capture(b).lampReference);
    CHECK_FALSE(table.capture(b).run);
    CHECK(table.capture(c).run == table.capture(d).run);
    CHECK(find(table.d, table.capture(c).run)->name == "evening");

    // One is enough to split them again; a name that is taken gets a number.
    choices.clear();
    choices[d].run = TagChoice::Run::Own;
    table.tag(choices);
    CHECK(table.capture(c).run != table.capture(d).run);
    CHECK(find(table.d, table.capture(d).run)->name == "d");
}

TEST_CASE("a lamp reference has no trials to read", "[capture-tags]")
{
    TagBench table;
    const CaptureId lamp = table.add("lamp"), read = table.add("read");
    for (const CaptureId id : {lamp, read})
        for (const RegionKind kind : {RegionKind::Lamp, RegionKind::Screen})
            if (!firstRegion(table.capture(id), kind))
                table.d = apply(table.d, setRegion(table.d, id, {{}, kind, "one", 10, 10, 20, 20}));
    const Mark mark{{40}, std::string(32, 'a'), {}, {}};
    table.d = apply(table.d, addTrial(table.d, read, {}, {}, mark, "zoom 1"));
    table.d = apply(table.d, learnPresses(table.d, lamp, {{{{10}, {9}, {11}}}}));
    CHECK(unreadPresses(table.d, lamp).size() == 1);

    CHECK_THAT(refusal([&] { (void)tagCaptures(table.d, {{.capture = read, .lampReference = true}}); }),
               Contains("“read” can't be a lamp reference while 1 trial is read in it; remove that first"));
    const Edit edit = tagCaptures(table.d, {{.capture = lamp, .lampReference = true}});
    table.d = apply(table.d, edit);
    CHECK(unreadPresses(table.d, lamp).empty());
    CHECK_FALSE(isUnlooked(table.d, lamp));
    CHECK_THAT(refusal([&] { (void)addTrial(table.d, lamp, {}, {}, mark, "zoom 1"); }),
               Contains("is a lamp reference"));
    table.d = apply(table.d, reversed(edit));
    CHECK(unreadPresses(table.d, lamp).size() == 1);
}

TEST_CASE("trials that are accepted take a tag that they lack, and keep the one they have", "[capture-tags]")
{
    TagBench table;
    const CaptureId film = table.add("film");
    for (const RegionKind kind : {RegionKind::Lamp, RegionKind::Screen})
        table.d = apply(table.d, setRegion(table.d, film, {{}, kind, "one", 10, 10, 20, 20}));
    const auto markAt = [](std::int64_t frame) { return Mark{{frame}, std::string(32, 'a'), {}, {}}; };
    const TrialId trial{table.d.nextId};
    table.d = apply(table.d, addTrial(table.d, film, {}, {}, markAt(40), ""));
    table.d = apply(table.d, setMark(table.d, trial, {}, MarkKind::Response, markAt(60), ""));
    table.d = apply(table.d, acceptReading(table.d, trial, {}));
    std::map<CaptureId, TagChoice> choices;
    choices[film].configuration = table.configuration(0);
    table.tag(choices);
    CHECK(find(table.d, trial)->configuration == table.configuration(0));
    CHECK(find(table.d, trial)->run == table.capture(film).run);
    choices[film].configuration = table.configuration(1);
    table.tag(choices);
    CHECK(table.capture(film).configuration == table.configuration(1));
    CHECK(find(table.d, trial)->configuration == table.configuration(0));
}
