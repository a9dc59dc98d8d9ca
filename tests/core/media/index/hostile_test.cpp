// Files made to cost more than they should: counts beyond all films, lists of lists.
#include "core/error.h"
#include "core/media/index/demuxer.h"
#include "core/media/index/empty_edits.h"
#include "core/media/index/picture_folder.h"
#include "core/media/tags/rate_tags.h"
#include "core/media/tags/slow_segments.h"
#include "tests/core/media/films.h"
#include "tests/tag_boxes.h"
#include <catch2/catch.hpp>
#include <fstream>
#include <sys/stat.h>

namespace fs = std::filesystem;

TEST_CASE("a file with more coded pictures than any film has is refused in a sentence", "[media][hostile]")
{
    media::Demuxer demuxer(film("hostile_long.mov", smallSpec(12)), std::nullopt, {});
    demuxer.setMostPackets(10);
    const media::PacketPtr packet = media::newPacket();
    for (int i = 0; i < 10; ++i)
        REQUIRE(demuxer.next(*packet) == 0);
    CHECK_THROWS_WITH(demuxer.next(*packet), Catch::Contains("hostile_long.mov\" holds more than 10 coded pictures"));
    demuxer.seek(0); // another pass
    CHECK(demuxer.next(*packet) == 0);
}

TEST_CASE("an edit list with an empty edit for every frame is gone through once", "[media][hostile]")
{
    // 200,000 of both: every frame against every edit would be 40 thousand million comparisons, minutes of them.
    constexpr std::int64_t count = 200'000;
    media::Footage footage;
    footage.path = "film.mov";
    footage.timeBase = timing::Rational(1, 1'000'000);
    std::vector<media::EmptyEdit> edits;
    for (std::int64_t i = 0; i < count; ++i) {
        footage.frames.push_back({i, timing::Rational(i, 1'000), true, 0});
        if (i % 2 == 1)
            edits.push_back({timing::Rational(i, 1'000), timing::Rational(i + 1, 1'000)});
    }
    media::doubtEmptyEdits(footage, edits);
    REQUIRE(std::ssize(footage.doubts) == count / 2);
    CHECK(footage.doubts[1].first.value == 3);
    CHECK(footage.doubts[1].last.value == 3);
    CHECK(footage.doubts.back().first.value == count - 1);
}

TEST_CASE("a directory of slow-motion blocks that lists the same one without end is read so far only",
          "[media][hostile]")
{
    // Each entry asks for 64 KiB; 80,000 of them for 5 GB.
    const TempFolder folder;
    const fs::path film = folder / "film.mov";
    const std::string block =
        std::string("\0\0\x90\x08", 4) + tag_boxes::little32(21) + "Super_SlowMotion_Data" + std::string(60'000, 'x');
    std::string directory = "SEFH" + tag_boxes::little32(1) + tag_boxes::little32(80'000);
    for (int i = 0; i < 80'000; ++i)
        directory += std::string("\0\0\x90\x08", 4) + tag_boxes::little32(static_cast<std::uint32_t>(block.size()))
                     + tag_boxes::little32(1 << 16);
    directory += tag_boxes::little32(static_cast<std::uint32_t>(directory.size())) + "SEFT";
    std::ofstream(film, std::ios::binary) << tag_boxes::box("ftyp", "qt  ") << block << directory;
    const media::SlowSegments found = media::slowSegments(film);
    CHECK_FALSE(found.damaged);
    CHECK(found.unread == std::string(200, 'x'));
}

TEST_CASE("a folder without end can be stopped", "[media][hostile]")
{
    const TempFolder folder;
    for (int i = 0; i < 3; ++i)
        std::ofstream(folder / ("a" + std::to_string(i) + ".png").c_str()) << "no picture";
    std::stop_source stop;
    stop.request_stop();
    CHECK_THROWS_AS(media::findSeries(folder.path(), stop.get_token()), core::Cancelled);
    CHECK_THROWS_AS(media::scanFolder(folder.path(), stop.get_token()), core::Cancelled);
}

TEST_CASE("a named pipe beside or in place of footage is waited for by nothing", "[media][hostile]")
{
    const TempFolder folder;
    const fs::path film = folder / "film.mov", beside = folder / "filmM01.XML";
    REQUIRE(::mkfifo(beside.c_str(), 0600) == 0);
    std::ofstream(film, std::ios::binary) << tag_boxes::box("ftyp", "qt  ");
    CHECK(media::rateTags(film).empty());
    CHECK(media::rateTags(beside).empty());
    CHECK(media::slowSegments(beside).segments.empty());
    CHECK(media::emptyEditsWithin(beside, 1).empty());
}
