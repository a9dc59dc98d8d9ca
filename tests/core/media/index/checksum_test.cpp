#include "core/media/index/checksum.h"
#include "core/error.h"
#include "core/media/index/confirmation.h"
#include "core/media/index/parts.h"
#include "core/media/picture/rendition.h"
#include "tests/core/media/films.h"
#include "tests/watched_disk.h"
#include <catch2/catch.hpp>
#include <sys/stat.h>

namespace {

namespace fs = std::filesystem;

/// `size` bytes that are nowhere alike.
std::string manyBytes(std::size_t size)
{
    std::string bytes(size, '\0');
    std::uint32_t state = 1;
    for (char& byte : bytes)
        byte = static_cast<char>((state = state * 1664525 + 1013904223) >> 24);
    return bytes;
}

void add(media::FootageChecksum& checksum, const fs::path& file, const std::string& bytes, std::size_t from,
         std::size_t count)
{
    checksum.add(file, static_cast<std::int64_t>(from),
                 {reinterpret_cast<const std::uint8_t*>(bytes.data()) + from, count});
}

} // namespace

TEST_CASE("a checksum takes what is read anyway, in whatever order it comes", "[media][checksum]")
{
    const TempFolder folder;
    const fs::path file = folder / "film";
    const std::string bytes = manyBytes(9'000'000);
    writeBytes(file, bytes);
    const std::string whole = media::partsSha256({file});

    media::FootageChecksum checksum({file});
    add(checksum, file, bytes, 0, 4000);
    add(checksum, file, bytes, 8'900'000, 100'000); // the table at the end of a film; too far ahead
    add(checksum, file, bytes, 3000, 2000);         // partly known
    add(checksum, file, bytes, 0, 5000);            // all known: read once more
    add(checksum, file, bytes, 60'000, 40'000);     // sound was passed over
    add(checksum, file, bytes, 100'000, 8'000'000);
    const WatchedDisk disk(file);
    CHECK(checksum.finish() == whole);
    CHECK(disk.bytes() == 900'000);
    CHECK(checksum.finish() == whole); // known
    CHECK(disk.bytes() == 900'000);
}

TEST_CASE("a checksum of a file that changes is never a mixture", "[media][checksum]")
{
    const TempFolder folder;
    const fs::path file = folder / "film";
    const std::string before = manyBytes(3'000'000), after = std::string(1000, 'x') + before;
    writeBytes(file, before);
    media::FootageChecksum checksum({file});
    add(checksum, file, before, 0, 2'000'000);
    writeBytes(file, after);
    const std::string whole = media::partsSha256({file});
    CHECK(checksum.finish() == whole);

    media::FootageChecksum disturbed({file});
    bool written = false;
    const auto writeMore = [&](std::int64_t, std::int64_t) {
        if (!std::exchange(written, true))
            writeBytes(file, after + "y");
    };
    CHECK_THROWS_WITH(disturbed.finish({}, writeMore), Catch::Contains("was written to"));
    CHECK(disturbed.finish() == media::partsSha256({file})); // finished by now
    fs::remove(file);
    CHECK_THROWS_AS(disturbed.finish(), core::Error);
}

TEST_CASE("a checksum that was stopped goes on", "[media][checksum]")
{
    const TempFolder folder;
    const fs::path file = folder / "film";
    writeBytes(file, manyBytes(5'000'000));
    media::FootageChecksum checksum({file});
    std::stop_source stop;
    CHECK_THROWS_AS(checksum.finish(stop.get_token(), [&](std::int64_t, std::int64_t) { stop.request_stop(); }),
                    core::Cancelled);
    const WatchedDisk disk(file);
    CHECK(checksum.finish() == media::partsSha256({file}));
    CHECK(disk.bytes() < 5'000'000 + 4'100'000);
}

TEST_CASE("confirming and the checksum read a file once", "[media][checksum]")
{
    const std::string ending = GENERATE("mp4", "mkv", "ts", "avi", "mov");
    const fs::path path = film("small." + ending, smallSpec());
    const std::string whole = media::partsSha256({path});
    const auto scanned = media::scanFootage(path);
    if (scanned->confirmed)
        return; // nothing passes
    media::ConfirmationDraft draft;
    draft.checksum = std::make_shared<media::FootageChecksum>(std::vector{path});
    const WatchedDisk disk(path);
    std::stop_source stop;
    const auto amid = [&](timing::FrameNumber n, const media::Picture&) {
        if (n.value == 20)
            stop.request_stop();
    };
    CAPTURE(ending);
    SECTION("in one go")
    {
        CHECK(media::confirmFootage(scanned, {}, {}, {}, {}, &draft).footage->confirmed);
        const std::int64_t confirming = disk.bytes();
        CHECK(draft.checksum->finish() == whole);
        CHECK(disk.bytes() - confirming < static_cast<std::int64_t>(fs::file_size(path)) / 20);
    }
    SECTION("put off and gone on")
    {
        CHECK_THROWS_AS(media::confirmFootage(scanned, stop.get_token(), {}, amid, {}, &draft), core::Cancelled);
        draft.had = {20};
        CHECK(media::confirmFootage(scanned, {}, {}, {}, {}, &draft).footage->confirmed);
        CHECK(draft.checksum->finish() == whole);
    }
}

TEST_CASE("confirming takes the checksum of folders and of joined parts along", "[media][checksum]")
{
    const TempFolder folder;
    SECTION("parts")
    {
        footage::Spec second = smallSpec();
        second.seed = 2;
        const std::vector<fs::path> paths{film("small.mp4", smallSpec()), film("second.mp4", second)};
        const auto scanned = media::scanParts(paths);
        REQUIRE_FALSE(scanned->confirmed);
        media::ConfirmationDraft draft;
        draft.checksum = std::make_shared<media::FootageChecksum>(paths);
        media::confirmFootage(scanned, {}, {}, {}, {}, &draft);
        CHECK(draft.checksum->finish() == media::partsSha256(paths));
    }
    SECTION("a folder, with a picture in it that can't be decoded")
    {
        const fs::path pictures = folder / "pictures";
        fs::create_directories(pictures);
        for (const int n : {8, 9, 10, 12})
            writePng({8, 8, std::vector<std::uint8_t>(8 * 8 * 3, static_cast<std::uint8_t>(n))},
                     pictures / (std::to_string(n) + ".png"));
        writeBytes(pictures / "11.png", "not a picture");
        const std::string whole = media::partsSha256({pictures});
        const auto scanned = media::scanFootage(pictures);
        REQUIRE_FALSE(scanned->confirmed);
        media::ConfirmationDraft draft;
        draft.checksum = std::make_shared<media::FootageChecksum>(std::vector{pictures});
        media::confirmFootage(scanned, {}, {}, {}, {}, &draft);
        const WatchedDisk disk(pictures);
        CHECK(draft.checksum->finish() == whole);
        CHECK(disk.bytes() == 0);
    }
}

TEST_CASE("a device and a pipe have no checksum, and nobody waits for one", "[media][checksum][hostile]")
{
    const TempFolder folder;
    REQUIRE(mkfifo((folder / "pipe").c_str(), 0600) == 0);
    for (const fs::path& path : {fs::path("/dev/zero"), folder / "pipe"})
        CHECK_THROWS_WITH(media::partsSha256({path}),
                          Catch::Contains(path.string()) && Catch::Contains("isn't a file that footage could be in"));
}
