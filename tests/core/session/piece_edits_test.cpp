#include "core/error.h"
#include "core/session/edits.h"
#include "refusals.h"
#include "sample_document.h"
#include <catch2/catch.hpp>

using namespace session;
using Catch::Contains;

namespace {

struct PieceBench {
    Document d = sample::planned();
    CaptureId id;

    PieceBench()
    {
        // Played at once, slowed, at once again; between the speeds a change that keeps no step.
        NewCapture ramped{
            sample::capture("ramped.mp4", 1000), "Phone, 240 mode", {{timing::Origin::Tag, 240, {}, 0.017, "tag"}}, {}};
        ramped.capture.pieces = {
            {0, {}, true, 1 / 240.0}, {301, {}, true, 0}, {320, {}, true, 1 / 30.0}, {700, {}, true, 1 / 240.0}};
        const timing::RateEvidence stamps{timing::Origin::Stamps, 240, {}, 0.017, "stamps"};
        ramped.pieceEvidence = {{stamps}, {}, {}, {stamps}};
        act(addCaptures(d, {ramped}));
        id = inOrder(d.captures).back()->id;
    }
    Edit act(Edit edit)
    {
        d = apply(d, edit);
        REQUIRE(contradiction(d) == "");
        return edit;
    }
    const Capture& capture() const { return *find(d, id); }
    std::vector<std::int64_t> firsts() const
    {
        std::vector<std::int64_t> frames;
        for (const Piece& piece : capture().pieces)
            frames.push_back(piece.firstFrame.value);
        return frames;
    }
};

} // namespace

TEST_CASE("each speed of a ramped capture gets a clock, the changes of speed none", "[session][pieces]")
{
    PieceBench bench;
    const Capture& capture = bench.capture();
    REQUIRE(capture.pieces.size() == 4);
    const Clock& slow = *find(bench.d, capture.clock);
    CHECK(slow.name == "Phone, 240 mode");
    CHECK(capture.pieces[2].clock == slow.id);
    CHECK_FALSE(capture.pieces[1].clock);
    CHECK(capture.pieces[0].clock == capture.pieces[3].clock);
    const Clock& atOnce = *find(bench.d, capture.pieces[0].clock);
    CHECK(atOnce.name == "ramped.mp4, from frame 0");
    REQUIRE(atOnce.evidence.size() == 1); // the same statement of both pieces is one
    CHECK(atOnce.evidence.front().rate.origin == timing::Origin::Stamps);
    CHECK(slow.evidence.size() == 1);

    CHECK(clockAt(capture, {300}) == atOnce.id);
    CHECK(clockAt(capture, {301}) == ClockId{});
    CHECK(clockAt(capture, {999}) == atOnce.id);
    CHECK(boundaryBetween(capture, {300}, {301}) == timing::FrameNumber{301});
    CHECK_FALSE(boundaryBetween(capture, {301}, {319}));
    CHECK(boundaryBetween(capture, {319}, {900}) == timing::FrameNumber{320});
    CHECK(clocksOf(capture) == std::vector<ClockId>{atOnce.id, slow.id});
}

TEST_CASE("a boundary is taken out and undone, and a clock nothing runs on goes and comes back with it",
          "[session][pieces]")
{
    PieceBench bench;
    const Document before = bench.d;
    const Edit edit = bench.act(removePieces(bench.d, bench.id));
    CHECK(bench.capture().pieces.empty());
    CHECK(find(bench.d, bench.capture().clock)->name == "Phone, 240 mode");
    CHECK(bench.d.clocks.size() == before.clocks.size() - 1);
    CHECK(apply(bench.d, reversed(edit)).captures.at(bench.id)->pieces == before.captures.at(bench.id)->pieces);

    bench.d = before;
    bench.act(removePiece(bench.d, bench.id, {320})); // the change of speed before it takes its clock
    CHECK(bench.firsts() == std::vector<std::int64_t>{0, 301, 700});
    CHECK(bench.capture().pieces[1].clock == bench.capture().clock);
    bench.act(removePiece(bench.d, bench.id, {301}));
    bench.act(removePiece(bench.d, bench.id, {700}));
    CHECK(bench.capture().pieces.empty());
    CHECK(find(bench.d, bench.capture().clock)->name == "ramped.mp4, from frame 0");
    CHECK_THAT(refusal([&] { removePieces(bench.d, bench.id); }), Contains("one clock throughout"));
    CHECK_THAT(refusal([&] { removePiece(bench.d, bench.id, {301}); }), Contains("begins at frame 301"));
}

TEST_CASE("the analyst begins a piece, gives it a clock, and undoes it", "[session][pieces]")
{
    PieceBench bench;
    bench.act(removePieces(bench.d, bench.id));
    const Document whole = bench.d;
    const Edit added = bench.act(addPiece(bench.d, bench.id, {400}));
    REQUIRE(bench.firsts() == std::vector<std::int64_t>{0, 400});
    CHECK_FALSE(bench.capture().pieces[1].fromStamps);
    CHECK(stateOf(*find(bench.d, bench.capture().pieces[1].clock)) == ClockState::Unknown);
    CHECK_THAT(refusal([&] { addPiece(bench.d, bench.id, {400}); }), Contains("already"));
    CHECK_THAT(refusal([&] { addPiece(bench.d, bench.id, {0}); }), Contains("from 1 to 999"));
    CHECK_THAT(refusal([&] { addPiece(bench.d, bench.id, {1000}); }), Contains("from 1 to 999"));
    const ClockId other = bench.d.clocks.begin()->first;
    bench.act(setPieceClock(bench.d, bench.id, {400}, other));
    CHECK(clockAt(bench.capture(), {500}) == other);
    bench.act(givePieceClock(bench.d, bench.id, {400}));
    CHECK(clockAt(bench.capture(), {500}) != other);
    CHECK(apply(apply(whole, added), reversed(added)).captures.at(bench.id)->pieces.empty());
}

TEST_CASE("pieces stay on their pictures when frames get other numbers", "[session][pieces]")
{
    PieceBench bench;
    DecodedFrames found{bench.capture(), {}, {}, {}};
    found.capture.frames = {990};
    for (std::int64_t k = 0; k < 1000; ++k) // the first ten pictures can't be had
        found.moved.push_back(k < 10 ? std::nullopt : std::optional(timing::FrameNumber{k - 10}));
    bench.act(followFrames(bench.d, bench.id, found));
    CHECK(bench.firsts() == std::vector<std::int64_t>{0, 291, 310, 690});
    CHECK(followFrames(bench.d, bench.id, found).changes.empty());

    found.capture.frames = {300};
    bench.act(followFrames(bench.d, bench.id, found));
    CHECK(bench.firsts() == std::vector<std::int64_t>{0, 291});
}

TEST_CASE("pieces follow their footage into a joined one and go with exchanged footage", "[session][pieces]")
{
    PieceBench bench;
    bench.act(addCaptures(bench.d, {{sample::capture("ramped_2.mp4", 200), "Other camera", {}}}));
    const CaptureId second = inOrder(bench.d.captures).back()->id;
    const ClockId other = find(bench.d, second)->clock;
    Capture joined = bench.capture();
    joined.frames = {1200};
    joined.furtherParts = {{"ramped_2.mp4", 1000, true}};
    bench.act(joinCaptures(bench.d, bench.id, second, joined));
    CHECK(bench.firsts() == std::vector<std::int64_t>{0, 301, 320, 700, 1000});
    CHECK(clockAt(bench.capture(), {1100}) == other);

    Capture even = bench.capture();
    even.frames = {100};
    even.furtherParts.clear();
    even.pieces.clear();
    bench.act(exchangeFootage(bench.d, bench.id, even, "exchange"));
    CHECK(bench.capture().pieces.empty());
    CHECK(find(bench.d, bench.capture().clock)->name == "Phone, 240 mode");
    CHECK_FALSE(find(bench.d, other));
}

TEST_CASE("pieces by slow-motion segments: the slowed ones run on the camera mode, the others on a clock of their own",
          "[session][pieces]")
{
    Document d = sample::planned();
    NewCapture slowed{
        sample::capture("slowed.mp4", 1000), "Phone, 240 mode", {{timing::Origin::Tag, 240, {}, 0.017, "tag"}}, {}};
    slowed.capture.pieces = {{0, {}, true, 1 / 30.0},
                             {200, {}, true, 1 / 30.0, 8},
                             {400, {}, true, 1 / 30.0},
                             {600, {}, true, 1 / 30.0, 2},
                             {700, {}, true, 1 / 30.0, 8}};
    slowed.pieceEvidence.resize(5);
    d = apply(d, addCaptures(d, {slowed}));
    REQUIRE(contradiction(d) == "");
    const Capture& capture = *inOrder(d.captures).back();
    CHECK(find(d, capture.clock)->name == "Phone, 240 mode");
    CHECK(clockAt(capture, {250}) == capture.clock);
    CHECK(clockAt(capture, {800}) == capture.clock);
    CHECK(clockAt(capture, {0}) != capture.clock);
    CHECK(clockAt(capture, {0}) == clockAt(capture, {500})); // at usual speed both
    CHECK(clockAt(capture, {650}) != clockAt(capture, {0}));
    CHECK(clockAt(capture, {650}) != capture.clock);
    CHECK(stateOf(*find(d, clockAt(capture, {0}))) == ClockState::Unknown); // nothing says how much was dropped there
}

TEST_CASE("sharing a clock puts pieces of a kind on the clocks that their kind has, and undo brings the old ones back",
          "[session][pieces]")
{
    Document d = sample::planned();
    const auto ramped = [&](const char* path, std::vector<Piece> pieces) {
        NewCapture added{sample::capture(path, 1000), "", {{timing::Origin::Tag, 240, {}, 0.017, "tag"}}, {}};
        added.capture.pieces = std::move(pieces);
        d = apply(d, addCaptures(d, {added}));
        return inOrder(d.captures).back()->id;
    };
    const double fast = 1 / 240.0, slow = 1 / 30.0;
    const CaptureId first = ramped("first.mp4", {{0, {}, true, fast}, {300, {}, true, slow}, {700, {}, true, fast}});
    const CaptureId second = ramped(
        "second.mp4", {{0, {}, true, slow}, {100, {}, true, 0}, {120, {}, true, fast}, {900, {}, true, slow, 4}});
    const CaptureId whole = ramped("whole.mp4", {});
    const Capture before = *find(d, second);
    const ClockId slowClock = find(d, first)->clock, fastClock = clockAt(*find(d, first), {0});
    REQUIRE(slowClock != fastClock);
    const ClockId ownFast = clockAt(before, {200}), ownSlow = clockAt(before, {0}), ownSlowest = clockAt(before, {950});
    REQUIRE(find(d, second)->clock == ownSlowest);

    const Edit edit = shareClock(d, slowClock, {second, whole});
    const Document after = apply(d, edit);
    REQUIRE(contradiction(after) == "");
    const Capture& shared = *find(after, second);
    CHECK(clockAt(shared, {0}) == slowClock);
    CHECK(clockAt(shared, {200}) == fastClock);
    CHECK_FALSE(clockAt(shared, {110}));         // no rate holds there
    CHECK(clockAt(shared, {950}) == ownSlowest); // the first capture has no piece of this kind
    CHECK(find(after, whole)->clock == slowClock);
    CHECK_FALSE(find(after, ownFast)); // nothing runs on it any more
    CHECK_FALSE(find(after, ownSlow));
    CHECK(*find(after, first) == *find(d, first));
    const Document back = apply(after, reversed(edit));
    CHECK(*find(back, second) == before);
    CHECK(find(back, ownFast));

    // From the other end: the fast clock takes the same pieces along.
    const Document fastFirst = apply(d, shareClock(d, fastClock, {second}));
    CHECK(clockAt(*find(fastFirst, second), {0}) == slowClock);
    CHECK(clockAt(*find(fastFirst, second), {200}) == fastClock);
}

TEST_CASE("a file whose pieces contradict themselves is refused", "[session][pieces]")
{
    PieceBench bench;
    const auto with = [&](auto change) {
        Capture capture = bench.capture();
        change(capture);
        return refusal([&] { setCapture(bench.d, capture, "change"); });
    };
    CHECK_THAT(with([](Capture& c) { c.pieces.resize(1); }), Contains("at least 2"));
    CHECK_THAT(with([](Capture& c) { c.pieces[0].firstFrame = {1}; }), Contains("first frame of a piece"));
    CHECK_THAT(with([](Capture& c) { c.pieces[2].firstFrame = {301}; }), Contains("first frame of a piece"));
    CHECK_THAT(with([](Capture& c) { c.pieces[3].firstFrame = {1000}; }), Contains("first frame of a piece"));
    CHECK_THAT(with([](Capture& c) { c.pieces[3].stepSeconds = -1; }),
               Contains("0 or a number between 1e-12 and 3600"));
    CHECK_THAT(with([](Capture& c) { c.pieces[3].slowedBy = 0; }), Contains("times slower a piece is played is 0"));
    CHECK_THAT(with([](Capture& c) { c.rateTags = {{"", "240"}}; }), Contains("key of a tag is empty"));
    CHECK_THAT(with([](Capture& c) { c.pieces[3].clock = ClockId{99999}; }), Contains("isn't in the session"));
    CHECK_THAT(with([](Capture& c) { c.pieces[2].clock = {}; }), Contains("none of its pieces"));
}

TEST_CASE("what a look at the pictures found goes with other footage, and contradictions are refused",
          "[session][pieces]")
{
    using Verdict = timing::PictureRepeats::Verdict;
    PieceBench bench;
    const PictureFinding found{Verdict::Periodic, 4, 1, 900, 675, false};
    const Edit edit = bench.act(setPictureFindings(bench.d, {{bench.id, found}}));
    CHECK(bench.capture().pictures == found);
    CHECK_FALSE(apply(bench.d, reversed(edit)).captures.at(bench.id)->pictures);
    const auto with = [&](PictureFinding wrong) {
        return refusal([&] { setPictureFindings(bench.d, {{bench.id, wrong}}); });
    };
    CHECK_THAT(with({Verdict::Periodic, 1, 1, 900, 0, false}), Contains("period of repeated pictures"));
    CHECK_THAT(with({Verdict::Blended, 2, 2, 900, 0, false}), Contains("add something"));
    CHECK_THAT(with({Verdict::AllAdd, 1, 1, 1001, 0, false}), Contains("pictures judged"));
    CHECK_THAT(with({Verdict::Irregular, 1, 1, 10, 11, false}), Contains("repeated pictures"));

    const Capture same = bench.capture();
    bench.act(followFrames(bench.d, bench.id, {same, {}, {}, {}}));
    CHECK(bench.capture().pictures == found);
    bench.act(exchangeFootage(bench.d, bench.id, same, "exchange"));
    CHECK_FALSE(bench.capture().pictures);
}
