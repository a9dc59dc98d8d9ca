#include "core/error.h"
#include "core/session/edits.h"
#include "sample_document.h"
#include <algorithm>
#include <catch2/catch.hpp>

using namespace session;
using Catch::Contains;
using Verdict = timing::PictureRepeats::Verdict;

namespace {

/// Two captures of a mode that is tagged 240.
struct PictureBench {
    Document d = sample::planned();
    CaptureId first, second;
    ClockId clock;

    PictureBench()
    {
        first = add("first.mp4");
        clock = find(d, first)->clock;
        second = add("second.mp4");
        act(shareClock(d, clock, {second}));
    }
    CaptureId add(const char* path, const char* mode = "Phone, 240 mode")
    {
        act(addCaptures(d, {{sample::capture(path, 1000), mode, {{timing::Origin::Tag, 240, {}, 0.017, "tag"}}, {}}}));
        return inOrder(d.captures).back()->id;
    }
    Edit act(Edit edit)
    {
        d = apply(d, edit);
        REQUIRE(contradiction(d) == "");
        return edit;
    }
    const ClockEvidence* shown(ClockId id) const
    {
        const auto& evidence = find(d, id)->evidence;
        const auto found =
            std::ranges::find(evidence, timing::Origin::Pictures, [](const ClockEvidence& e) { return e.rate.origin; });
        return found == evidence.end() ? nullptr : &*found;
    }
    const ClockEvidence* shown() const { return shown(clock); }
};

constexpr PictureFinding everySecond{Verdict::Periodic, 2, 1, 400, 200, false};

} // namespace

TEST_CASE("pictures that repeat in a pattern dispute the rate that a clock is said to have", "[session][pictures]")
{
    PictureBench bench;
    REQUIRE(stateOf(*find(bench.d, bench.clock)) == ClockState::Proposed);
    const Document before = bench.d;
    const Edit noted = bench.act(setPictureFindings(bench.d, {{bench.first, everySecond}}));
    REQUIRE(bench.shown());
    CHECK(bench.shown()->rate.rate == 120);
    CHECK(bench.shown()->rate.relativeUncertainty == 0.017);
    CHECK_THAT(bench.shown()->rate.note, Contains("this mode may really capture at 120 a second"));
    CHECK(stateOf(*find(bench.d, bench.clock)) == ClockState::InDispute);
    CHECK(proposedEvidence(*find(bench.d, bench.clock))->rate.origin == timing::Origin::Tag);
    const Document undone = apply(bench.d, reversed(noted));
    CHECK(*find(undone, bench.clock) == *find(before, bench.clock));
    CHECK(*find(undone, bench.first) == *find(before, bench.first));
    CHECK(undone.errorSources.size() == before.errorSources.size());
}

TEST_CASE("what pictures show is no rate to settle a clock with, and the analyst's decision for another stands",
          "[session][pictures]")
{
    PictureBench bench;
    bench.act(setPictureFindings(bench.d, {{bench.first, everySecond}}));
    CHECK_THROWS_WITH(settleClock(bench.d, bench.clock, bench.shown()->id, ""),
                      Contains("not how long a camera frame lasts"));
    bench.act(settleClock(bench.d, bench.clock, proposedEvidence(*find(bench.d, bench.clock))->id, "checked"));
    CHECK(stateOf(*find(bench.d, bench.clock)) == ClockState::Settled);
    bench.act(setPictureFindings(bench.d, {{bench.second, {Verdict::Periodic, 4, 3, 900, 225, false}}}));
    CHECK(bench.shown()->rate.rate == 180); // more of its pictures could be judged
    CHECK(stateOf(*find(bench.d, bench.clock)) == ClockState::Settled);
}

TEST_CASE("what pictures show follows the rate that it is held against", "[session][pictures]")
{
    PictureBench bench;
    bench.act(setPictureFindings(bench.d, {{bench.first, everySecond}}));
    bench.act(declareRate(bench.d, bench.clock, 960, 0.03, ""));
    CHECK(bench.shown()->rate.rate == 480);
    const Edit declared = bench.act(declareRate(bench.d, bench.clock, 480, 0.03, ""));
    CHECK(bench.shown()->rate.rate == 240);
    bench.d = apply(bench.d, reversed(declared));
    CHECK(bench.shown()->rate.rate == 480);
    SECTION("a reference counts camera frames, whatever they show, and isn't disputed by it")
    {
        bench.act(addReference(bench.d, bench.clock, {timing::Origin::Reference, 959.6, {}, 1e-5, "fit"}, {}));
        CHECK_THAT(bench.shown()->rate.rate, Catch::Matchers::WithinRel(479.8, 1e-12));
        CHECK(timing::agree(bench.shown()->rate, proposedEvidence(*find(bench.d, bench.clock))->rate));
    }
    SECTION("it goes when a later look finds that all pictures add something")
    {
        bench.act(setPictureFindings(bench.d, {{bench.first, {Verdict::AllAdd, 1, 1, 400, 0, false}}}));
        CHECK_FALSE(bench.shown());
    }
    SECTION("it goes with its capture")
    {
        bench.act(removeCapture(bench.d, bench.first));
        CHECK_FALSE(bench.shown());
    }
    SECTION("it moves with its capture to another clock")
    {
        const CaptureId third = bench.add("third.mp4", "Phone, other mode");
        const ClockId other = find(bench.d, third)->clock;
        REQUIRE(other != bench.clock);
        bench.act(shareClock(bench.d, other, {bench.first}));
        CHECK_FALSE(bench.shown());
        REQUIRE(bench.shown(other));
        CHECK(bench.shown(other)->rate.rate == 120);
    }
}

TEST_CASE("single repeats say nothing of a clock", "[session][pictures]")
{
    PictureBench bench;
    bench.act(setPictureFindings(bench.d, {{bench.first, {Verdict::Irregular, 1, 1, 400, 3, false}},
                                           {bench.second, {Verdict::CantTell, 1, 1, 0, 0, false}}}));
    CHECK_FALSE(bench.shown());
    CHECK(stateOf(*find(bench.d, bench.clock)) == ClockState::Proposed);
}
