#include "core/report/publication_changes.h"
#include "tests/core/analysis/small_session.h"

#include <algorithm>
#include <catch2/catch.hpp>

using namespace report;

namespace {

PublishedState stateOf(const session::Document& document, const std::string& version = "1")
{
    return publishedState(document, analysis::compute(document), "pedal.tallyframe", version);
}

Changes between(const session::Document& was, const session::Document& is)
{
    return changesBetween(stateOf(was), stateOf(is));
}

/// Moves the response of the radio pedal's last trial.
session::Document corrected(session::Document document, std::int64_t by)
{
    for (const auto& [id, entry] : document.trials) {
        if (entry->readings.front().press->frame.value != 600 || !entry->readings.front().response || entry->reject)
            continue;
        session::Trial trial = *entry;
        trial.readings.front().response->frame.value += by;
        small::put(document, trial);
        return document;
    }
    FAIL("no such trial");
    return document;
}

} // namespace

TEST_CASE("equal sessions moved nothing, and a state reads back as it was written", "[report]")
{
    const small::Session made = small::session();
    CHECK(between(made.document, made.document).empty());
    PublishedState state = stateOf(made.document);
    state.changes = {{"2030-02-01T20:00:00+01:00", "1", {"A figure: was 1; is 2."}}};
    const QByteArray bytes = toJson(state);
    const auto read = publishedStateFrom(bytes);
    REQUIRE(read);
    CHECK(read->figures == state.figures);
    CHECK(read->inputs == state.inputs);
    CHECK(read->changes.size() == 1);
    CHECK(toJson(*read) == bytes);
    CHECK(changesBetween(*read, state).empty());
    for (const char* other : {"", "{}", "[1", "{\"format\": \"another\"}"})
        CHECK_FALSE(publishedStateFrom(other));
}

TEST_CASE("one corrected mark names the figures that rest on it, and itself as their cause", "[report]")
{
    const small::Session made = small::session();
    const Changes changes = between(made.document, corrected(made.document, 1));
    REQUIRE(changes.figures.size() == 3); // its mean, its difference to the baseline,
    CHECK(changes.figures[0].what == "Radio pedal");
    CHECK(changes.figures[1].what == "Radio pedal against Wired pedal");
    CHECK(changes.figures[2].barely); // and the other difference, for their intervals hold together
    for (const MovedFigure& figure : changes.figures) {
        CHECK(figure.barely == (figure.was == figure.is));
        REQUIRE(figure.because.size() == 1);
        CHECK(figure.because[0].what == "Trial 5 of radio.mp4");
        CHECK(figure.because[0].was == "response at camera frame 641");
        CHECK(figure.because[0].is == "response at camera frame 642");
    }
    CHECK(changes.further.empty());
    const std::vector<std::string> lines = changeLines(changes);
    REQUIRE(lines.size() == 4);
    CHECK(lines[3] == "Moved by less than is shown: Pedal through hub against Wired pedal.");
    CHECK(lines[0].find("Radio pedal: was 41.") == 0);
    CHECK(lines[1].find("Radio pedal against Wired pedal: was ") == 0);
    CHECK(lines[2]
          == "  because: Trial 5 of radio.mp4: was response at camera frame 641; is response at camera frame 642");
}

TEST_CASE("a clock, a rejection, a renewed program and a look each stand as the cause that they are", "[report]")
{
    const small::Session made = small::session();
    SECTION("a clock moves the figures read with it alone")
    {
        session::Document document = made.document;
        session::Clock clock = *find(document, made.slow);
        clock.evidence.front().rate.rate = 499;
        small::put(document, clock);
        const Changes changes = between(made.document, document);
        REQUIRE(changes.figures.size() == 3);
        CHECK(changes.figures[0].what == "Pedal through hub");
        CHECK(changes.figures[1].what == "Radio pedal against Wired pedal");
        CHECK(changes.figures[1].barely);
        REQUIRE_FALSE(changes.figures[0].because.empty());
        CHECK(changes.figures[0].because[0].what == "The clock Slow camera");
    }
    SECTION("the baseline's trial moves every comparison")
    {
        session::Document document = made.document;
        session::Trial trial = *find(document, made.rejected);
        trial.reject.reset();
        small::put(document, trial);
        const Changes changes = between(made.document, document);
        CHECK(changes.figures.size() == 3);
        for (const MovedFigure& figure : changes.figures) {
            REQUIRE(figure.because.size() == 1);
            CHECK(figure.because[0].was.ends_with("rejected: hitch"));
            CHECK(figure.because[0].is.ends_with("counts"));
        }
    }
    SECTION("the program's version moves nothing by itself")
    {
        const Changes changes = changesBetween(stateOf(made.document, "1"), stateOf(made.document, "2"));
        CHECK(changes.figures.empty());
        REQUIRE(changes.further.size() == 1);
        CHECK(changes.further[0].what == "The program's version");
    }
    SECTION("a figure of another version's making has the version among its causes")
    {
        PublishedState other = stateOf(made.document, "1");
        other.figures.front().exact = "5 31.5";
        const Changes changes = changesBetween(other, stateOf(made.document, "2"));
        REQUIRE(changes.figures.size() == 1);
        CHECK(changes.figures[0].barely);
        REQUIRE(changes.figures[0].because.size() == 1);
        CHECK(changes.figures[0].because[0].what == "The program's version");
    }
    SECTION("a look moves no figure")
    {
        session::Document document = made.document;
        document.settings.publish.title = "Pedals";
        document.settings.publish.width = 1080;
        const Changes changes = between(made.document, document);
        CHECK(changes.figures.empty());
        REQUIRE(changes.further.size() == 2);
        CHECK(changes.further[0].what == "The chart's title");
        CHECK(changes.further[1].what == "The size");
    }
    SECTION("a configuration that is gone, and one that is new")
    {
        session::Document document = made.document;
        std::erase_if(document.trials, [&](const auto& entry) { return entry.second->configuration == made.hub; });
        document.configurations.erase(made.hub);
        const Changes gone = between(made.document, document), come = between(document, made.document);
        const auto hub = [](const Changes& changes) {
            return *std::ranges::find(changes.figures, std::string("Pedal through hub"), &Moved::what);
        };
        CHECK(hub(gone).is.empty());
        CHECK(hub(come).was.empty());
        CHECK(wasAndIs(hub(gone)).starts_with("is gone, was "));
        CHECK(wasAndIs(hub(come)).starts_with("is new: "));
    }
}

TEST_CASE("changes.txt tells the newest publication first", "[report]")
{
    PublishedState state = stateOf(small::session().document);
    state.changes = {{"2030-02-01T20:00:00+01:00", "1", {"First."}}, {"2030-02-02T20:00:00+01:00", "2", {"Second."}}};
    CHECK(changesText(state)
          == "What moved from one publication of \"pedal.tallyframe\" to the next, newest first.\n"
             "\n2030-02-02T20:00:00+01:00, Tallyframe 2\nSecond.\n"
             "\n2030-02-01T20:00:00+01:00, Tallyframe 1\nFirst.\n");
}
