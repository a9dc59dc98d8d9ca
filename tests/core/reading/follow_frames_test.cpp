#include "core/reading/follow_frames.h"
#include "core/media/decode/frame_reader.h"
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
    session::TrialId mark(std::int64_t frame) { return markPress(document, scanned, frame, folder / "evidence"); }
    session::Edit follow(const media::Confirmation& confirmation) const
    {
        return reading::follow(
            document, id(),
            reading::compareFrames(confirmation, onlyCapture(document), session::markedPictures(document, id())));
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
    CHECK(onlyCapture(bench.document).frames == 38);
    CHECK(pressOf(bench.document, early).frame == 5);
    CHECK(pressOf(bench.document, late).frame == 28);
    media::FrameReader reader(confirmation.footage);
    for (const auto& [frame, hash] : session::markedPictures(bench.document, bench.id()))
        CHECK(reader.read({frame}).md5() == hash);
    CHECK(bench.follow(confirmation).changes.empty()); // it has followed
}

TEST_CASE("where decoding finds what the packets told the session doesn't change", "[follow]")
{
    FollowBench bench({});
    bench.mark(5);
    CHECK(bench.follow(media::confirmFootage(bench.scanned)).changes.empty());
}
