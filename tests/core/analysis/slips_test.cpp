#include "core/analysis/slips.h"
#include "core/analysis/results.h"
#include "small_session.h"
#include <catch2/catch.hpp>

namespace {

/// One capture of 1000 frames at 1000 a second, two configurations, a run of the first.
struct Session {
    small::Builder b;
    session::ConfigurationId wired, radio;
    session::RunId run;
    session::ClockId clock;
    session::CaptureId capture;

    Session()
    {
        wired = b.configuration("Wired pedal");
        radio = b.configuration("Radio pedal");
        run = b.run("run 1");
        clock = b.clock("Fast camera", 1000, {b.source("generator", 0.001)});
        capture = b.capture("run01.mp4", clock);
    }
    session::TrialId trial(std::int64_t press, std::int64_t response)
    {
        return b.trial(capture, wired, run, press, response);
    }
    template <class Change> void change(session::TrialId id, Change change)
    {
        session::Trial trial = *find(b.document, id);
        change(trial);
        b.put(trial);
    }
    template <class Change> void change(session::CaptureId id, Change change)
    {
        session::Capture capture = *find(b.document, id);
        change(capture);
        b.put(capture);
    }
    std::vector<std::string> slips(session::TrialId id) const
    {
        return analysis::slipsOf(b.document, *find(b.document, id), analysis::compute(b.document).trials);
    }
};

bool oneThatSays(const std::vector<std::string>& slips, const std::string& words)
{
    INFO(Catch::StringMaker<std::vector<std::string>>::convert(slips));
    return slips.size() == 1 && slips.front().find(words) != std::string::npos;
}

} // namespace

TEST_CASE("a plain trial has no slip", "[slips]")
{
    Session s;
    const auto id = s.trial(100, 130);
    s.trial(300, 331);
    CHECK(s.slips(id).empty());
}

TEST_CASE("a response that can't be this press's is told", "[slips]")
{
    Session s;
    SECTION("on the press, or before it")
    {
        CHECK(oneThatSays(s.slips(s.trial(100, 100)), "at or before the press"));
        CHECK(oneThatSays(s.slips(s.trial(300, 280)), "at or before the press"));
    }
    SECTION("at the next press, or after it")
    {
        const auto at = s.trial(100, 300), after = s.trial(300, 640);
        s.trial(600, 630);
        CHECK(oneThatSays(s.slips(at), "next press (frame 300)"));
        CHECK(oneThatSays(s.slips(after), "next press (frame 600)"));
    }
    SECTION("a rejected trial's press is none that counts")
    {
        const auto id = s.trial(100, 320);
        s.b.reject(s.trial(300, 330), session::RejectReason::DoublePress);
        CHECK(s.slips(id).empty());
    }
    SECTION("beyond the limit")
    {
        s.b.document.settings.event.limitMs = 400;
        CHECK(oneThatSays(s.slips(s.trial(100, 501)), "beyond the limit of 400 milliseconds"));
        CHECK(s.slips(s.trial(520, 919)).empty());
    }
}

TEST_CASE("marks where footage is lost, repeated or of another size are told", "[slips]")
{
    Session s;
    const auto id = s.trial(100, 130);
    SECTION("missing between the marks")
    {
        s.change(s.capture, [](session::Capture& c) { c.missing = {{120, 2}}; });
        CHECK(oneThatSays(s.slips(id), "2 frames are missing"));
        s.change(s.capture, [](session::Capture& c) { c.missing = {{140, 2}}; });
        CHECK(s.slips(id).empty());
    }
    SECTION("no time can be told")
    {
        s.change(s.capture, [](session::Capture& c) { c.unknown = {{90, 101, false, "damaged"}}; });
        CHECK(oneThatSays(s.slips(id), "No time can be told from frame 90 to 101"));
    }
    SECTION("pictures repeat")
    {
        s.change(s.capture, [](session::Capture& c) {
            c.pictures = {timing::PictureRepeats::Verdict::Periodic, 4, 2, 200, 100, false};
        });
        CHECK(oneThatSays(s.slips(id), "repeat or are made up"));
    }
    SECTION("another picture size with the same clock")
    {
        const auto other = s.b.capture("run02.mp4", s.clock);
        CHECK(s.slips(id).empty());
        s.change(other, [](session::Capture& c) { c.width = 1280; });
        CHECK(oneThatSays(s.slips(id), "640 x 400 and those of run02.mp4 1280 x 400"));
    }
}

TEST_CASE("a delay far from the others of its run is told without a number", "[slips]")
{
    Session s;
    for (int k = 0; k < 5; ++k)
        s.trial(100 + 100 * k, 130 + 100 * k + k % 2);
    const auto far = s.trial(600, 660), near = s.trial(700, 733);
    REQUIRE(oneThatSays(s.slips(far), "far from the others of its run"));
    CHECK(s.slips(far).front().find_first_of("0123456789") == std::string::npos);
    CHECK(s.slips(near).empty());
}

TEST_CASE("two trials on one press are told unless they are of two screens", "[slips]")
{
    Session s;
    const auto first = s.trial(100, 130), second = s.trial(100, 131);
    CHECK(oneThatSays(s.slips(first), "Trial 2 of run01.mp4 has the same press"));
    CHECK(oneThatSays(s.slips(second), "Trial 1 of run01.mp4 has the same press"));
    const auto bounced = s.trial(305, 340);
    s.trial(300, 340);
    CHECK(oneThatSays(s.slips(bounced), "5 frames away"));
    const session::RegionId other{s.b.next()};
    s.change(s.capture, [&](session::Capture& c) {
        c.regions.push_back({other, session::RegionKind::Screen, "Second panel", 300, 100, 80, 80});
    });
    s.change(second, [&](session::Trial& t) { t.screen = other; });
    CHECK(s.slips(first).empty());
    CHECK(s.slips(second).empty());
}

TEST_CASE("a tag against the run sheet is told", "[slips]")
{
    Session s;
    const auto id = s.trial(100, 130);
    session::RunSheet sheet;
    sheet.lines = {{1, s.wired, 1, s.run, false}};
    s.b.document.settings.runSheet = sheet;
    CHECK(s.slips(id).empty());
    sheet.lines.front().configuration = s.radio;
    s.b.document.settings.runSheet = sheet;
    CHECK(oneThatSays(s.slips(id), "Line 1 of the run sheet is a run of Radio pedal"));

    const auto second = s.trial(100, 140); // the press on a screen of its own, as the sheet has it
    s.change(second, [&](session::Trial& t) {
        t.screen = session::RegionId{s.b.next()};
        t.configuration = s.radio;
    });
    CHECK(s.slips(id).empty());
}

TEST_CASE("a rejected trial has no slips", "[slips]")
{
    Session s;
    const auto id = s.trial(100, 90);
    s.b.reject(id, session::RejectReason::EarlyChange);
    CHECK(s.slips(id).empty());
}
