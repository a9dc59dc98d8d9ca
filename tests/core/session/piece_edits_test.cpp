#include "core/error.h"
#include "core/session/edits.h"
#include "sample_document.h"
#include <catch2/catch.hpp>

using namespace session;
using Catch::Matchers::Contains;

namespace {

struct PieceBench {
    Document d = sample::planned();
    CaptureId id;

    PieceBench()
    {
        // Played at once, slowed, at once again; between the speeds a change that keeps no step.
        NewCapture ramped{sample::capture("ramped.mp4", 1000), "Phone, 240 mode", {{timing::Origin::Tag, 240, {}, 0.017, "tag"}}, {}};
        ramped.capture.pieces = {{0, {}, true, 1 / 240.0}, {301, {}, true, 0}, {320, {}, true, 1 / 30.0}, {700, {}, true, 1 / 240.0}};
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
    std::string refusal(auto action) const
    {
        try {
            action();
        } catch (const core::Error& error) {
            CHECK(error.kind() == core::ErrorKind::Refused);
            return error.what();
        }
        return {};
    }
    std::vector<std::int64_t> firsts() const
    {
        std::vector<std::int64_t> frames;
        for (const Piece& piece : capture().pieces)
            frames.push_back(piece.firstFrame);
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

    CHECK(clockAt(capture, 300) == atOnce.id);
    CHECK(clockAt(capture, 301) == ClockId{});
    CHECK(clockAt(capture, 999) == atOnce.id);
    CHECK(boundaryBetween(capture, 300, 301) == 301);
    CHECK_FALSE(boundaryBetween(capture, 301, 319));
    CHECK(boundaryBetween(capture, 319, 900) == 320);
    CHECK(clocksOf(capture) == std::vector<ClockId>{atOnce.id, slow.id});
}

TEST_CASE("a boundary is taken out and undone, and a clock nothing runs on goes and comes back with it", "[session][pieces]")
{
    PieceBench bench;
    const Document before = bench.d;
    const Edit edit = bench.act(removePieces(bench.d, bench.id));
    CHECK(bench.capture().pieces.empty());
    CHECK(find(bench.d, bench.capture().clock)->name == "Phone, 240 mode");
    CHECK(bench.d.clocks.size() == before.clocks.size() - 1);
    CHECK(apply(bench.d, reversed(edit)).captures.at(bench.id)->pieces == before.captures.at(bench.id)->pieces);

    bench.d = before;
    bench.act(removePiece(bench.d, bench.id, 320)); // the change of speed before it takes its clock
    CHECK(bench.firsts() == std::vector<std::int64_t>{0, 301, 700});
    CHECK(bench.capture().pieces[1].clock == bench.capture().clock);
    bench.act(removePiece(bench.d, bench.id, 301));
    bench.act(removePiece(bench.d, bench.id, 700));
    CHECK(bench.capture().pieces.empty());
    CHECK(find(bench.d, bench.capture().clock)->name == "ramped.mp4, from frame 0");
    CHECK_THAT(bench.refusal([&] { removePieces(bench.d, bench.id); }), Contains("one clock throughout"));
    CHECK_THAT(bench.refusal([&] { removePiece(bench.d, bench.id, 301); }), Contains("begins at frame 301"));
}

TEST_CASE("the analyst begins a piece, gives it a clock, and undoes it", "[session][pieces]")
{
    PieceBench bench;
    bench.act(removePieces(bench.d, bench.id));
    const Document whole = bench.d;
    const Edit added = bench.act(addPiece(bench.d, bench.id, 400));
    REQUIRE(bench.firsts() == std::vector<std::int64_t>{0, 400});
    CHECK_FALSE(bench.capture().pieces[1].fromStamps);
    CHECK(stateOf(*find(bench.d, bench.capture().pieces[1].clock)) == ClockState::Unknown);
    CHECK_THAT(bench.refusal([&] { addPiece(bench.d, bench.id, 400); }), Contains("already"));
    CHECK_THAT(bench.refusal([&] { addPiece(bench.d, bench.id, 0); }), Contains("from 1 to 999"));
    CHECK_THAT(bench.refusal([&] { addPiece(bench.d, bench.id, 1000); }), Contains("from 1 to 999"));
    const ClockId other = bench.d.clocks.begin()->first;
    bench.act(setPieceClock(bench.d, bench.id, 400, other));
    CHECK(clockAt(bench.capture(), 500) == other);
    bench.act(givePieceClock(bench.d, bench.id, 400));
    CHECK(clockAt(bench.capture(), 500) != other);
    CHECK_THAT(bench.refusal([&] { removeClock(bench.d, clockAt(bench.capture(), 500)); }), Contains("can't be removed"));
    CHECK(apply(apply(whole, added), reversed(added)).captures.at(bench.id)->pieces.empty());
}

TEST_CASE("pieces stay on their pictures when frames get other numbers", "[session][pieces]")
{
    PieceBench bench;
    Capture found = bench.capture();
    found.frames = 990;
    std::vector<std::optional<std::int64_t>> frames;
    for (std::int64_t k = 0; k < 1000; ++k) // the first ten pictures can't be had
        frames.push_back(k < 10 ? std::nullopt : std::optional(k - 10));
    bench.act(followFrames(bench.d, bench.id, found, frames));
    CHECK(bench.firsts() == std::vector<std::int64_t>{0, 291, 310, 690});

    Capture shorter = bench.capture();
    shorter.frames = 300;
    bench.act(followFrames(bench.d, bench.id, shorter, {}));
    CHECK(bench.firsts() == std::vector<std::int64_t>{0, 291});
}

TEST_CASE("pieces follow their footage into a joined one and go with exchanged footage", "[session][pieces]")
{
    PieceBench bench;
    bench.act(addCaptures(bench.d, {{sample::capture("ramped_2.mp4", 200), "Other camera", {}}}));
    const CaptureId second = inOrder(bench.d.captures).back()->id;
    const ClockId other = find(bench.d, second)->clock;
    Capture joined = bench.capture();
    joined.frames = 1200;
    joined.furtherParts = {{"ramped_2.mp4", 1000, true}};
    bench.act(joinCaptures(bench.d, bench.id, second, joined));
    CHECK(bench.firsts() == std::vector<std::int64_t>{0, 301, 320, 700, 1000});
    CHECK(clockAt(bench.capture(), 1100) == other);

    Capture even = bench.capture();
    even.frames = 100;
    even.furtherParts.clear();
    even.pieces.clear();
    bench.act(exchangeFootage(bench.d, bench.id, even, "exchange"));
    CHECK(bench.capture().pieces.empty());
    CHECK(find(bench.d, bench.capture().clock)->name == "Phone, 240 mode");
    CHECK_FALSE(find(bench.d, other));
}

TEST_CASE("a file whose pieces contradict themselves is refused", "[session][pieces]")
{
    PieceBench bench;
    const auto with = [&](auto change) {
        Capture capture = bench.capture();
        change(capture);
        return bench.refusal([&] { setCapture(bench.d, capture, "change"); });
    };
    CHECK_THAT(with([](Capture& c) { c.pieces.resize(1); }), Contains("is one piece"));
    CHECK_THAT(with([](Capture& c) { c.pieces[0].firstFrame = 1; }), Contains("first frame of a piece"));
    CHECK_THAT(with([](Capture& c) { c.pieces[2].firstFrame = 301; }), Contains("first frame of a piece"));
    CHECK_THAT(with([](Capture& c) { c.pieces[3].firstFrame = 1000; }), Contains("first frame of a piece"));
    CHECK_THAT(with([](Capture& c) { c.pieces[3].stepSeconds = -1; }), Contains("between 0 and 3600"));
    CHECK_THAT(with([](Capture& c) { c.pieces[3].clock = ClockId{99999}; }), Contains("isn't in the session"));
    CHECK_THAT(with([](Capture& c) { c.pieces[2].clock = {}; }), Contains("none of its pieces"));
}

TEST_CASE("what a look at the pictures found goes with other footage, and contradictions are refused", "[session][pieces]")
{
    using Verdict = timing::PictureRepeats::Verdict;
    PieceBench bench;
    const PictureFinding found{Verdict::Periodic, 4, 1, 900, 675, false};
    const Edit edit = bench.act(setPictureFindings(bench.d, {{bench.id, found}}));
    CHECK(bench.capture().pictures == found);
    CHECK_FALSE(apply(bench.d, reversed(edit)).captures.at(bench.id)->pictures);
    const auto with = [&](PictureFinding wrong) { return bench.refusal([&] { setPictureFindings(bench.d, {{bench.id, wrong}}); }); };
    CHECK_THAT(with({Verdict::Periodic, 1, 1, 900, 0, false}), Contains("period of repeated pictures"));
    CHECK_THAT(with({Verdict::Blended, 2, 2, 900, 0, false}), Contains("add something"));
    CHECK_THAT(with({Verdict::AllAdd, 1, 1, 1001, 0, false}), Contains("pictures judged"));
    CHECK_THAT(with({Verdict::Irregular, 1, 1, 10, 11, false}), Contains("repeated pictures"));

    Capture same = bench.capture();
    bench.act(followFrames(bench.d, bench.id, same, {}));
    CHECK(bench.capture().pictures == found);
    bench.act(exchangeFootage(bench.d, bench.id, same, "exchange"));
    CHECK_FALSE(bench.capture().pictures);
}
