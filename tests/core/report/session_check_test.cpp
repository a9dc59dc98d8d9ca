#include "core/report/session_check.h"
#include "core/error.h"
#include "tests/core/analysis/small_session.h"

#include <catch2/catch.hpp>

using namespace report;
using namespace report;

namespace {

std::vector<FootageFacts> facts(const session::Document& document)
{
    std::vector<FootageFacts> all;
    for (const auto& [id, capture] : document.captures)
        all.push_back({id, true, capture->sha256, {}});
    return all;
}

bool everyCrop(const std::string&) { return true; }

/// The small session with its last clock settled: nothing left to do.
small::Session finished()
{
    small::Session s = small::session();
    session::Clock clock = *find(s.document, s.unsettled);
    clock.settled = session::Settlement{clock.evidence.front().id, {}, {}};
    small::put(s.document, clock);
    return s;
}

std::vector<std::string> lines(const std::vector<Finding>& findings)
{
    std::vector<std::string> all;
    for (const Finding& finding : findings)
        all.push_back(std::string(label(finding.severity)) + ": " + finding.place + ": " + finding.sentence);
    return all;
}

using Lines = std::vector<std::string>;

} // namespace

TEST_CASE("a finished session has no findings", "[report]")
{
    small::Session s = finished();
    CHECK(lines(check(s.document, facts(s.document), everyCrop)) == Lines{});
    session::Capture lamp = *find(s.document, s.openCapture);
    lamp.id = {s.document.nextId++};
    lamp.configuration = {};
    lamp.run = {};
    small::put(s.document, lamp);
    CHECK(lines(check(s.document, facts(s.document), everyCrop)).size() == 1); // nobody read it
    lamp.lampReference = true;
    small::put(s.document, lamp);
    CHECK(lines(check(s.document, facts(s.document), everyCrop)) == Lines{});
}

TEST_CASE("footage that is missing, changed or unreadable is at odds with the session", "[report]")
{
    const small::Session s = finished();
    std::vector<FootageFacts> found = facts(s.document);
    found[0].found = false;
    found[1].sha256 = std::string(64, 'd');
    found[2].problem = "can't read it: input/output error";
    found.pop_back();
    CHECK(lines(check(s.document, found, everyCrop))
          == Lines{"at odds: capture “wired.mp4”: Its footage isn't at “footage/wired.mp4”; put it back or relink the "
                   "capture.",
                   "at odds: capture “radio.mp4”: Its footage isn't the file it was marked in: the checksum is "
                   "dddddddddddd…, not cccccccccccc…; "
                   "find the original and relink the capture.",
                   "at odds: capture “hub.mp4”: Can't read it: input/output error.",
                   "notice: capture “hub_borrowed.mp4”: Its footage wasn't looked at."});
}

TEST_CASE("work that is left is listed, most severe first", "[report]")
{
    small::Session s = small::session();
    session::Trial trial = *find(s.document, s.noReaction);
    trial.configuration = {};
    trial.run = {};
    small::put(s.document, trial);
    session::Capture capture = *find(s.document, s.openCapture);
    capture.regions.clear();
    capture.sha256.clear();
    small::put(s.document, capture);
    s.document.settings.plan.marginMs.reset();
    const Lines found = lines(check(s.document, facts(s.document), everyCrop));
    CHECK(found
          == Lines{"not done: capture “hub_borrowed.mp4”: The session holds no checksum of its footage yet; open the "
                   "session and let it finish.",
                   "not done: capture “hub_borrowed.mp4”: It has no lamp region; draw one.",
                   "not done: capture “hub_borrowed.mp4”: It has no screen region; draw one.",
                   "not done: clock “Borrowed camera”: It isn't settled; 240 camera frames a second is proposed.",
                   "not done: " + session::trialName(s.document, s.noReaction) + ": It is tagged to no configuration.",
                   "notice: " + session::trialName(s.document, s.noReaction) + ": Its run isn't known.",
                   "notice: session: No margin is set, so nothing can be called the same."});
}

TEST_CASE("crops that are gone or changed are found, each asked for once", "[report]")
{
    small::Session s = finished();
    int asked = 0;
    const auto nothing = [&](const std::string&) {
        ++asked;
        return false;
    };
    const std::vector<Finding> gone = check(s.document, facts(s.document), nothing);
    CHECK(asked == 1); // all marks of this session show the same picture
    CHECK(gone.size() == s.document.trials.size());
    CHECK(gone.front().severity == Severity::AtOdds);
    CHECK(gone.front().sentence == "8 crops of its marks aren't in the session; restore it from a copy that has it.");

    const auto changed = [](const std::string&) -> bool {
        throw core::Error(core::ErrorKind::AtOdds, "the crop isn't what it was");
    };
    const std::vector<Finding> odd = check(s.document, facts(s.document), changed);
    CHECK(odd.front().severity == Severity::AtOdds);
    CHECK(odd.front().sentence == "The crop isn't what it was.");

    session::Trial trial = *find(s.document, s.rejected);
    trial.readings.front().press->crops = {};
    small::put(s.document, trial);
    const std::vector<Finding> bare = check(s.document, facts(s.document), everyCrop);
    REQUIRE(bare.size() == 1);
    CHECK(bare.front().sentence == "1 mark keeps no picture evidence; mark again to add it.");
}
