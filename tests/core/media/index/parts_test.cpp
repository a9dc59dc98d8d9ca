#include "core/media/index/parts.h"
#include "core/error.h"
#include "core/media/index/confirmation.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/measure/trace.h"
#include "tests/core/media/films.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <numeric>
#include <random>

namespace fs = std::filesystem;

namespace {

footage::Spec partSpec(int frames, std::uint64_t seed, double start = 0)
{
    footage::Spec spec = smallSpec(frames);
    spec.seed = seed;
    spec.storage.start = start;
    return spec;
}

std::vector<fs::path> threeParts()
{
    return {film("part1.mp4", partSpec(30, 1)), film("part2.mp4", partSpec(25, 2)), film("part3.mp4", partSpec(20, 3))};
}

std::string refusalOf(const std::vector<fs::path>& paths)
{
    try {
        media::openParts(paths);
    } catch (const core::Error& error) {
        return error.what();
    }
    return {};
}

} // namespace

TEST_CASE("parts of one recording read as one, in any order of access", "[media][parts]")
{
    const std::vector<fs::path> paths = threeParts();
    std::vector<std::uint64_t> hashes;
    for (const fs::path& path : paths) {
        const auto own = media::openFootage(path);
        for (const media::FrameEntry& frame : own->frames)
            hashes.push_back(frame.hash);
    }
    REQUIRE(hashes.size() == 75);

    const auto scanned = media::scanParts(paths);
    CHECK_FALSE(scanned->confirmed);
    std::vector<std::int64_t> passed;
    std::vector<std::int64_t> confirmedUpTo;
    const media::Confirmation confirmation = media::confirmFootage(
        scanned, {}, [&](std::int64_t, std::int64_t, timing::FrameCount n) { confirmedUpTo.push_back(n.value); },
        [&](timing::FrameNumber n, const media::Picture& picture) {
            passed.push_back(n.value);
            CHECK(picture.hash() == hashes[n.value]);
        });
    CHECK(confirmation.moved.empty());
    CHECK(confirmation.footage->confirmed);
    CHECK(passed.size() == hashes.size());
    CHECK(std::is_sorted(passed.begin(), passed.end()));
    CHECK(std::is_sorted(confirmedUpTo.begin(), confirmedUpTo.end()));
    CHECK(confirmedUpTo.back() == 75);

    for (const auto& footage : {scanned, confirmation.footage, media::openParts(paths)}) {
        REQUIRE(footage->frames.size() == hashes.size());
        REQUIRE(footage->seams.size() == 2);
        CHECK(footage->seams[0].before.value == 30);
        CHECK(footage->seams[1].before.value == 55);
        for (const media::Seam& seam : footage->seams) {
            CHECK_FALSE(seam.missing); // both files start at zero: nothing tells
            CHECK_THAT(seam.why, Catch::Contains("follows part"));
        }
        CHECK(media::partOf(*footage, {29}).first.value == 0);
        CHECK(media::partOf(*footage, {30}).first.value == 30);
        CHECK(media::partOf(*footage, {74}).first.value == 55);
        std::vector<std::int64_t> order(hashes.size());
        std::iota(order.begin(), order.end(), std::int64_t{0});
        std::mt19937 random(4);
        std::shuffle(order.begin(), order.end(), random);
        media::FrameReader reader(footage);
        for (const std::int64_t n : order) {
            INFO("frame " << n);
            std::int64_t last = -1;
            const media::Picture picture =
                reader.read({n}, {}, [&](timing::FrameNumber number, const media::Picture&) { last = number.value; });
            CHECK(picture.hash() == hashes[n]);
            CHECK(last == n);
        }
    }
}

TEST_CASE("a trace of joined parts is that of each, one after the other", "[media][parts]")
{
    const std::vector<fs::path> paths = threeParts();
    const media::Rect region{10, 10, 60, 40};
    const auto all = media::traceRegions(*media::openParts(paths), {region});
    REQUIRE(all.size() == 1);
    std::size_t n = 0;
    for (const fs::path& path : paths) {
        const auto own = media::traceRegions(*media::openFootage(path), {region});
        for (const auto& sample : own[0]) {
            REQUIRE(n < all[0].size());
            CHECK(all[0][n++].mean == sample.mean);
        }
    }
    CHECK(n == all[0].size());
}

TEST_CASE("stamps that go on tell the gap between parts, others don't", "[media][parts]")
{
    // 30 frames at 30 a second from second 10 on end at 10 + 29/30; the next would be at 11.
    const fs::path first = film("clock1.ts", partSpec(30, 1, 10));
    const auto missingBefore = [&](const fs::path& second) {
        return media::openParts({first, second})->seams.at(0).missing;
    };
    CHECK(missingBefore(film("clock_on.ts", partSpec(20, 2, 11))) == timing::FrameCount{0});
    CHECK(missingBefore(film("clock_gap.ts", partSpec(20, 2, 11 + 4 / 30.0))) == timing::FrameCount{4});
    CHECK_FALSE(missingBefore(film("clock_half.ts", partSpec(20, 2, 11 + 0.5 / 30.0)))); // no whole number of steps
    CHECK_FALSE(missingBefore(film("clock_back.ts", partSpec(20, 2, 5))));
    CHECK_FALSE(missingBefore(film("clock_far.ts", partSpec(20, 2, 500))));
}

TEST_CASE("timecodes that go on show that nothing is missing", "[media][parts]")
{
    footage::Spec first = partSpec(30, 1), second = partSpec(20, 2);
    first.storage.tags = {{"timecode", "01:00:00:00"}};
    second.storage.tags = {{"timecode", "01:00:01:00"}};
    const fs::path from = film("code1.mov", first);
    CHECK(media::openParts({from, film("code2.mov", second)})->seams.at(0).missing == timing::FrameCount{0});
    second.storage.tags = {{"timecode", "01:00:01:02"}}; // a camera's clock runs on while slowed footage counts on
    CHECK_FALSE(media::openParts({from, film("code3.mov", second)})->seams.at(0).missing);
}

TEST_CASE("a timecode counts frames since midnight", "[media][parts]")
{
    CHECK(media::framesOfTimecode("00:00:00:00", 25) == 0);
    CHECK(media::framesOfTimecode("01:02:03:04", 25) == (3600 + 123) * 25 + 4);
    // SMPTE ST 12-1 leaves out 2 numbers a minute (4 at 60) but at every tenth minute: an hour has 107892 of them.
    CHECK(media::framesOfTimecode("01:00:00;00", 30) == 107892);
    CHECK(media::framesOfTimecode("00:01:00;02", 30) == 1800);
    CHECK(media::framesOfTimecode("00:10:00;00", 60) == 35964);
    for (const char* none :
         {"", "12", "00:00:00", "00:00:00:25", "24:00:00:00", "00:60:00:00", "00:00:00:00x", "00:00:00/00"})
        CHECK_FALSE(media::framesOfTimecode(none, 25));
}

TEST_CASE("files that aren't of one recording aren't joined", "[media][parts]")
{
    const fs::path first = film("part1.mp4", partSpec(30, 1));
    footage::Spec other = partSpec(20, 2);
    other.camera.width = 480;
    CHECK_THAT(refusalOf({first, film("wide.mp4", other)}), Catch::Contains("sizes differ (320 x 180, 480 x 180)"));
    other = partSpec(20, 2);
    other.storage.codec = "mpeg4";
    CHECK_THAT(refusalOf({first, film("older.mp4", other)}), Catch::Contains("codecs differ (h264, mpeg4)"));
    other = partSpec(20, 2);
    other.storage.rotation = 90;
    CHECK_THAT(refusalOf({first, film("turned.mp4", other)}), Catch::Contains("turns differ"));
    other = partSpec(4, 2);
    other.storage.container = other.storage.codec = "png";
    other.storage.pixelFormat = "rgb24";
    CHECK_THAT(refusalOf({first, film("pictures_part", other)}), Catch::Contains("only single files can"));
    CHECK_THAT(refusalOf({first, "/nowhere/part2.mp4"}), Catch::Contains("There is no file"));
    CHECK(media::openParts({first})->parts.empty());
}

TEST_CASE("the checksum of joined parts is that of their list", "[media][parts]")
{
    const std::vector<fs::path> paths = threeParts();
    const TempFolder folder;
    std::string list;
    for (const fs::path& path : paths)
        list += media::partsSha256({path}) + "  " + path.filename().string() + "\n";
    writeBytes(folder / "list", list);
    CHECK(media::partsSha256(paths) == media::partsSha256({folder / "list"}));
}

TEST_CASE("a stopped pass over joined parts goes on in the part where it was", "[media][parts][confirm]")
{
    const TempFolder folder;
    std::vector<fs::path> paths;
    // Of 30, 45 and 20 frames in groups of 12.
    for (const fs::path& path : {film("part1.mp4", partSpec(30, 1)), film("part2_long.mp4", partSpec(45, 2)),
                                 film("part3.mp4", partSpec(20, 3))}) {
        paths.push_back(folder / path.filename());
        fs::copy_file(path, paths.back());
    }
    const auto whole = media::openParts(paths);
    const auto scanned = media::scanParts(paths);
    media::ConfirmationDraft draft;
    std::stop_source stop;
    const auto stopAt66 = [&](timing::FrameNumber n, const media::Picture&) {
        if (n.value == 66)
            stop.request_stop();
    };
    CHECK_THROWS_AS(media::confirmFootage(scanned, stop.get_token(), {}, stopAt66, {}, &draft), core::Cancelled);

    std::vector<std::int64_t> passed;
    const auto note = [&](timing::FrameNumber n, const media::Picture& picture) {
        passed.push_back(n.value);
        CHECK(picture.hash() == whole->frames[n.value].hash);
    };
    const auto goOn = [&](std::int64_t had) {
        passed.clear();
        std::int64_t confirmed = 0;
        draft.had = {had};
        const auto found = media::confirmFootage(
            scanned, {},
            [&](std::int64_t, std::int64_t, timing::FrameCount count) { confirmed = std::max(confirmed, count.value); },
            note, {}, &draft);
        CHECK(found.moved.empty());
        CHECK(confirmed == 95);
        CHECK(std::is_sorted(passed.begin(), passed.end()));
        CHECK(passed.back() == 94);
        REQUIRE(found.footage->frames.size() == 95);
        for (std::size_t n = 0; n < 95; ++n)
            CHECK(found.footage->frames[n].hash == whole->frames[n].hash);
        CHECK(found.footage->parts.size() == 3);
        CHECK(found.footage->confirmed);
        return passed.front();
    };
    SECTION("all pictures were had")
    {
        CHECK(goOn(95) == 54);
    } // the third group of the second part: at least 8 frames are compared
    SECTION("some are needed of the part under way") { CHECK(goOn(50) == 42); }
    SECTION("some are needed of a part that was done") { CHECK(goOn(20) == 12); }
    SECTION("all are needed") { CHECK(goOn(0) == 0); }
    SECTION("a part that was done is another file by now")
    {
        fs::last_write_time(paths[0], fs::last_write_time(paths[0]) + std::chrono::seconds(3));
        draft.had = {95};
        try {
            media::confirmFootage(scanned, {}, {}, {}, {}, &draft);
            FAIL("it went on");
        } catch (const core::Error& error) {
            CHECK(error.kind() == core::ErrorKind::AtOdds);
            CHECK_THAT(error.what(), Catch::Contains("part1.mp4") && Catch::Contains("has changed"));
        }
    }
}
