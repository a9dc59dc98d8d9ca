#include "core/reading/make_mark.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/packet_places.h"
#include "core/media/picture/rendition.h"
#include "core/session/evidence_store.h"
#include "tests/core/reading/reading_films.h"
#include <catch2/catch.hpp>

namespace {

struct MarkBench {
    TempFolder folder;
    std::shared_ptr<const media::Footage> footage;
    reading::MarkRequest request;

    MarkBench()
    {
        smallFilm(folder / "run.mp4");
        footage = media::openFootage(folder / "run.mp4");
        request = {footage, {12}, {}, {}, {}, {}};
        request.lamp = {{1}, session::RegionKind::Lamp, "lamp", 16, 8, 40, 30};
        request.screen = {{2}, session::RegionKind::Screen, "screen", 100, 60, 80, 50};
    }
    mutable session::EvidenceStore evidence{};
    reading::MadeMark make() const { return reading::makeMark(request, evidence); }
};

} // namespace

TEST_CASE("a mark holds the picture's hash and lossless crops of both regions before and at the frame", "[mark]")
{
    const MarkBench bench;
    const reading::MadeMark made = bench.make();
    media::FrameReader reader(bench.footage);
    const media::Picture before = reader.read({11}), at = reader.read({12});
    CHECK(made.mark.frame.value == 12);
    CHECK(made.mark.packet == media::packetOf(*bench.footage, {12}));
    CHECK(made.mark.pictureHash == at.md5());
    CHECK(made.hash == at.hash());
    const auto isCrop = [&](const std::string& sha256, const media::Picture& picture, const session::Region& region) {
        const auto png = bench.evidence.load(sha256);
        REQUIRE(png);
        CHECK(*png == media::encodePng(media::evidenceCrop(picture, reading::rectOf(region))));
    };
    isCrop(made.mark.crops.lampBefore, before, bench.request.lamp);
    isCrop(made.mark.crops.lampAt, at, bench.request.lamp);
    isCrop(made.mark.crops.screenBefore, before, bench.request.screen);
    isCrop(made.mark.crops.screenAt, at, bench.request.screen);
    CHECK(made.mark.crops.screenBefore != made.mark.crops.screenAt);
}

TEST_CASE("a mark is the same whether its pictures come from a cache or are decoded", "[mark]")
{
    MarkBench bench;
    const session::Mark decoded = bench.make().mark;
    media::FrameReader reader(bench.footage);
    bench.request.before = reader.read({11});
    bench.request.at = reader.read({12});
    CHECK(bench.make().mark == decoded);
}

TEST_CASE("a mark on the first frame has no crops before it", "[mark]")
{
    MarkBench bench;
    bench.request.frame = {0};
    const session::Mark mark = bench.make().mark;
    CHECK(mark.crops.lampBefore.empty());
    CHECK(mark.crops.screenBefore.empty());
    CHECK_FALSE(mark.crops.lampAt.empty());
}

TEST_CASE("a mark is refused where its picture can't be had", "[mark]")
{
    const MarkBench bench;
    SECTION("the file is gone")
    {
        std::filesystem::remove(bench.folder / "run.mp4");
        CHECK_THROWS_AS(bench.make(), core::Error);
    }
    SECTION("on a stop")
    {
        std::stop_source stop;
        stop.request_stop();
        CHECK_THROWS_AS(reading::makeMark(bench.request, bench.evidence, stop.get_token()), core::Cancelled);
    }
}

TEST_CASE("where pictures get smaller a region may lie outside, and marking says so", "[mark]")
{
    MarkBench bench;
    bench.request.screen.x = 320; // as one drawn where the pictures were larger
    CHECK_THROWS_WITH(bench.make(), Catch::Contains("Frame 12 can't be marked: its picture is 320 x 180")
                                        && Catch::Contains("region \"screen\" lies outside"));
    bench.request.screen.x = 319; // its edge is inside
    CHECK_FALSE(bench.make().mark.crops.screenAt.empty());
}
