#include "core/reading/picture_finding.h"
#include "core/session/edits.h"
#include <catch2/catch.hpp>

using Verdict = timing::PictureRepeats::Verdict;

TEST_CASE("a finding keeps the pattern and counts no more repeats than were judged", "[pictures]")
{
    timing::PictureRepeats repeats;
    repeats.verdict = Verdict::Periodic;
    repeats.period = 4;
    repeats.adding = 3;
    repeats.judged = 2;
    repeats.repeats = {{4}, {8}, {12}};
    const session::PictureFinding found = reading::findingOf(repeats, true);
    CHECK(found == session::PictureFinding{Verdict::Periodic, 4, 3, 2, 2, true});
    CHECK(reading::isAlarming(found));
    CHECK_FALSE(reading::isAlarming({Verdict::AllAdd, 1, 1, 50, 0, false}));
    CHECK_FALSE(reading::isAlarming({Verdict::CantTell, 1, 1, 0, 0, false}));
}

TEST_CASE("the claimed rate is what the clock says besides the pictures", "[pictures]")
{
    session::NewCapture added;
    added.capture.name = "run";
    added.capture.path = "run.mp4";
    added.capture.frames = {100};
    added.capture.width = added.capture.height = 64;
    session::Document document = session::apply({}, session::addCaptures({}, {added}));
    const auto capture = [&]() -> const session::Capture& { return *document.captures.begin()->second; };
    CHECK_FALSE(reading::claimedRate(document, capture().clock));
    document = session::apply(document, session::declareRate(document, capture().clock, 240, 0.01, "typed in"));
    CHECK(reading::claimedRate(document, capture().clock) == 240);
}
