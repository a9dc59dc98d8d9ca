#include "core/report/method_note.h"
#include "tests/core/analysis/small_session.h"

#include <catch2/catch.hpp>

using Catch::Contains;
using namespace analysis;
using namespace report;

namespace {

std::string note(const session::Document& document) { return methodNote(document, compute(document), "1.2.3"); }

} // namespace

TEST_CASE("the method note says how the figures came about", "[report]")
{
    const small::Session s = small::session();
    const std::string text = note(s.document);
    CHECK_THAT(text, Contains("Question: Does the radio link add delay?\n"));
    CHECK_THAT(text, Contains("Margin, the smallest difference that matters: 2 ms.\n"));
    CHECK_THAT(text, Contains("Planned for each configuration: 5 trials.\n"));
    CHECK_THAT(
        text,
        Contains("Response frame: the first camera frame in which the reaction is visible (the panel turns white).\n"));
    CHECK_THAT(
        text,
        Contains("Fast camera: 1000.0 camera frames a second, standard uncertainty 0.22 %, declared. Typed in.\n"));
    CHECK_THAT(text,
               Contains("Borrowed camera: not settled, so its trials are counts of camera frames and in no mean.\n"));
    CHECK_THAT(text, Contains("  5 of 5 planned trials count. 1 rejected: 1 hitch."));
    CHECK_THAT(text, Contains("Read by R. One (19 trials).\n"));
    CHECK_THAT(text, Contains("No trial was read a second time.\n"));
    CHECK_THAT(text,
               Contains("2 comparisons in the plan, whose intervals, by Dunnett's factor (k = 2, rho = 0.48), all "
                        "hold together at 95 %, those of these runs only for these runs alone; degrees of freedom "
                        "after Welch and Satterthwaite: 9.1 and 11.5.\n"));
    CHECK_THAT(text, Contains("Runs are the unit. Each configuration has its own scatter of runs, which need not be "
                              "another's.\n"));
    CHECK_THAT(text, Contains("no run sheet with a random order was drawn.\n"));
    CHECK_THAT(text, Contains("Corrections:\n  Rolling shutter of Fast camera: none, all rows are exposed at once.\n"));
    CHECK_THAT(text, Contains("radio.mp4: 1000 camera frames, 3 missing, SHA-256 cccccccc"));
    CHECK_THAT(text, Catch::EndsWith("Made with Tallyframe 1.2.3.\n"));
    CHECK(note(s.document) == text);
}

TEST_CASE("second readings and looks are counted in the method note", "[report]")
{
    small::Session s = small::session();
    int apart = 0;
    for (const session::Trial* trial : trialsOf(s.document, s.hubCapture)) {
        if (apart > 2)
            break;
        session::Trial again = *trial;
        session::Reading second = again.readings.front();
        second.id = session::ReadingId{s.document.nextId++};
        second.blind = apart > 0;
        second.response->frame.value += apart++;
        again.readings.push_back(second);
        again.settled = again.readings.front().id;
        small::put(s.document, again);
    }
    s.document.settings.earlyLooks = {{"2030-02-01T21:00:00Z", "R. One", "comparison"},
                                      {"2030-02-01T21:05:00Z", "R. One", "comparison"},
                                      {"2030-02-01T21:06:00Z", "R. One", "delays while reading"}};
    const std::string text = note(s.document);
    CHECK_THAT(
        text,
        Contains(
            "3 trials were read a second time, 2 of them blind: 1 with the same count, 2 within one camera frame.\n"));
    CHECK_THAT(text, Contains("Looked at before the planned number of trials was reached: comparison 2 times and "
                              "delays while reading 1 time. Intervals aren't corrected for "
                              "repeated looks.\n"));
}
