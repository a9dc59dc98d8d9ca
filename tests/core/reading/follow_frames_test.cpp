#include "core/reading/follow_frames.h"
#include "core/error.h"
#include "core/reading/same_footage.h"
#include "tests/core/reading/reading_films.h"
#include <catch2/catch.hpp>

namespace {

/// A film some of whose packets hold no picture, taken in as it was scanned.
struct FollowBench {
    TempFolder folder;
    std::shared_ptr<const media::Footage> scanned;
    session::Document document;

    explicit FollowBench(const std::vector<std::size_t>& dead)
    {
        smallFilm(folder / "run.avi");
        killPictures(folder / "run.avi", dead);
        scanned = media::scanFootage(folder / "run.avi");
        REQUIRE_FALSE(scanned->confirmed);
        document = sessionWith(*scanned);
    }
    session::CaptureId id() const { return onlyCapture(document).id; }
    session::TrialId mark(std::int64_t frame) { return markPress(document, scanned, frame); }
    session::Edit follow(const media::Confirmation& confirmation) const
    {
        return session::followFrames(document, id(), reading::decodedFrames(confirmation, document, id()));
    }
    /// As sessions of earlier times have them.
    void forgetPackets()
    {
        session::EditBuilder builder(document, "forget");
        for (const session::Trial* trial : session::trialsOf(document, id())) {
            session::Trial unplaced = *trial;
            unplaced.readings.front().press->packet.reset();
            builder.put(unplaced);
        }
        document = session::apply(document, std::move(builder).finish());
    }
    void requireMarksOnPictures(const media::Confirmation& confirmation) const
    {
        media::FrameReader reader(confirmation.footage);
        for (const session::MarkedPicture& mark : session::markedPictures(document, id()))
            CHECK(reading::shows(reader, mark));
    }
};

} // namespace

TEST_CASE("marks keep their pictures when decoding gives the frames other numbers", "[follow]")
{
    FollowBench bench({10, 20});
    const session::TrialId early = bench.mark(5), late = bench.mark(30);
    const media::Confirmation confirmation = media::confirmFootage(bench.scanned);
    REQUIRE_FALSE(confirmation.moved.empty());
    bench.document = session::apply(bench.document, bench.follow(confirmation));
    CHECK(onlyCapture(bench.document).frames.value == 38);
    CHECK(pressOf(bench.document, early).frame.value == 5);
    CHECK(pressOf(bench.document, late).frame.value == 28);
    bench.requireMarksOnPictures(confirmation);
    CHECK(bench.follow(confirmation).changes.empty()); // it has followed
}

TEST_CASE("where decoding finds what the packets told the session doesn't change", "[follow]")
{
    FollowBench bench({});
    bench.mark(5);
    CHECK(bench.follow(media::confirmFootage(bench.scanned)).changes.empty());
}

TEST_CASE("marks set by scanned and by decoded numbers are told apart by their packets", "[follow]")
{
    FollowBench bench({10, 20});
    bench.mark(30);
    const media::Confirmation confirmation = media::confirmFootage(bench.scanned);
    bench.document = session::apply(bench.document, bench.follow(confirmation));
    bench.mark(30); // the key was pressed before, the mark is made after
    markPress(bench.document, confirmation.footage, 30);
    bench.document = session::apply(bench.document, bench.follow(confirmation));
    bench.requireMarksOnPictures(confirmation);
    std::vector<std::int64_t> frames;
    for (const session::Trial* trial : session::trialsOf(bench.document, bench.id()))
        frames.push_back(trial->readings.front().press->frame.value);
    CHECK(frames == std::vector<std::int64_t>{28, 28, 30});
}

TEST_CASE("marks of earlier times get their packets by number, and by picture where scan and decoding differ",
          "[follow]")
{
    FollowBench bench({10, 20});
    const session::TrialId early = bench.mark(5), late = bench.mark(30);
    const media::Confirmation confirmation = media::confirmFootage(bench.scanned);
    SECTION("in a session that numbers its frames as scanned")
    {
        bench.forgetPackets();
        bench.document = session::apply(bench.document, bench.follow(confirmation));
    }
    SECTION("in one that has followed")
    {
        bench.document = session::apply(bench.document, bench.follow(confirmation));
        bench.forgetPackets();
        bench.document = session::apply(bench.document, bench.follow(confirmation));
    }
    SECTION("in one whose footage is known to be decoded")
    {
        bench.document = session::apply(bench.document, bench.follow(confirmation));
        bench.forgetPackets();
        bench.document = session::apply(bench.document, bench.follow(media::confirmFootage(confirmation.footage)));
    }
    CHECK(pressOf(bench.document, early).packet == timing::PacketPlace{0, 5});
    CHECK(pressOf(bench.document, late).packet == timing::PacketPlace{0, 30});
    CHECK(pressOf(bench.document, late).frame.value == 28);
    bench.requireMarksOnPictures(confirmation);
}

TEST_CASE("a mark on a picture that decoding doesn't give is doubtful, of earlier times too", "[follow]")
{
    FollowBench bench({});
    const session::TrialId gone = bench.mark(20);
    const bool earlier = GENERATE(false, true);
    if (earlier)
        bench.forgetPackets();
    killPictures(bench.folder / "run.avi", {10, 20});
    bench.scanned = media::scanFootage(bench.folder / "run.avi");
    bench.document = session::apply(bench.document, bench.follow(media::confirmFootage(bench.scanned)));
    CHECK(session::find(bench.document, gone)->readings.front().doubtful);
}

TEST_CASE("marks don't follow another film that lies there by now", "[follow]")
{
    FollowBench bench({});
    bench.mark(30);
    smallFilm(bench.folder / "run.avi", 2);
    killPictures(bench.folder / "run.avi", {10, 20});
    bench.scanned = media::scanFootage(bench.folder / "run.avi");
    const media::Confirmation other = media::confirmFootage(bench.scanned);
    REQUIRE_FALSE(other.moved.empty());
    try {
        bench.follow(other);
        FAIL("followed");
    } catch (const core::Error& error) {
        CHECK(error.kind() == core::ErrorKind::AtOdds);
        CHECK_THAT(error.what(), Catch::Contains("run.avi isn't the footage that was added: its frame 28"));
    }
}

TEST_CASE("a mark that is being made gets the number its picture has by then, or none", "[follow]")
{
    FollowBench bench({10, 20});
    const session::Capture& capture = onlyCapture(bench.document);
    session::EvidenceStore evidence;
    const reading::MadeMark made =
        reading::makeMark({bench.scanned, {30}, {}, {}, capture.regions[0], capture.regions[1]}, evidence);
    const auto confirmed = media::confirmFootage(bench.scanned).footage;
    CHECK(reading::numberIn(*bench.scanned, made) == timing::FrameNumber{30});
    CHECK(reading::numberIn(*confirmed, made) == timing::FrameNumber{28});
    reading::MadeMark dead = made, other = made;
    dead.mark.packet->ordinal = 20;
    other.hash ^= 1;
    CHECK_FALSE(reading::numberIn(*confirmed, dead));
    CHECK_FALSE(reading::numberIn(*confirmed, other));
}
