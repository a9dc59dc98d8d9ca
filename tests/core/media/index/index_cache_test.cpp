#include "core/media/index/index_cache.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/index_format.h"
#include "core/media/index/packet_table.h"
#include "core/media/picture/rendition.h"
#include "tests/core/media/films.h"
#include <catch2/catch.hpp>
#include <chrono>
#include <random>

namespace fs = std::filesystem;

namespace {

void checkSame(const media::Footage& a, const media::Footage& b)
{
    CHECK(a.path == b.path);
    CHECK(media::writeIndex(a, 1) == media::writeIndex(b, 1)); // everything else is in there
}

fs::path onlyEntry(const fs::path& folder)
{
    REQUIRE(std::distance(fs::directory_iterator(folder), {}) == 1);
    return fs::directory_iterator(folder)->path();
}

/// Opens with the cache; true when nothing had to be decoded.
bool wasKnown(const fs::path& film, const fs::path& cache)
{
    bool decoded = false;
    media::openFootage(film, {}, [&](std::int64_t, std::int64_t) { decoded = true; }, {{}, cache});
    return !decoded;
}

} // namespace

TEST_CASE("footage opened again comes from the cache and is the same", "[media][index]")
{
    const TempFolder cache;
    footage::Spec pictures = smallSpec(8);
    pictures.storage.container = pictures.storage.codec = "png";
    pictures.storage.pixelFormat = "rgb24";
    pictures.camera.missing = {3};
    const TempFolder broken;
    writeBytes(broken / "cut.ts", readBytes(film("small.ts", smallSpec())).substr(0, 30000));
    for (const fs::path& path : {film("small.mp4", smallSpec()), film("pictures", pictures), broken / "cut.ts"}) {
        CAPTURE(path);
        const auto first = media::openFootage(path, {}, {}, {{}, cache.path()});
        CHECK_FALSE(first->cacheFault);
        CHECK(wasKnown(path, cache.path()));
        const auto second = media::openFootage(path, {}, {}, {{}, cache.path()});
        CHECK(first != second);
        checkSame(*first, *second);
        media::FrameReader reader(second);
        const std::int64_t last = second->frameCount().value - 1;
        CHECK(reader.read({last}).hash() == first->frames.back().hash);
        CHECK(reader.read({last / 2}));
    }
}

TEST_CASE("changed footage isn't taken for what it was", "[media][index]")
{
    const TempFolder folder, cache;
    const fs::path path = folder / "a.avi";
    footage::Spec spec = smallSpec(12);
    spec.storage.codec = "rawvideo"; // so that other pictures take just as many bytes
    writeBytes(path, readBytes(film("raw.avi", spec)));
    CHECK_FALSE(wasKnown(path, cache.path()));
    CHECK(wasKnown(path, cache.path()));

    const auto written = fs::last_write_time(path);
    fs::last_write_time(path, written + std::chrono::seconds(1));
    CHECK_FALSE(wasKnown(path, cache.path()));

    spec.seed = 2;
    const std::string other = readBytes(film("raw2.avi", spec));
    REQUIRE(other.size() == fs::file_size(path));
    const auto before = fs::last_write_time(path);
    writeBytes(path, other);
    fs::last_write_time(path, before);
    CHECK_FALSE(wasKnown(path, cache.path())); // same size and time, other contents

    fs::copy_file(path, folder / "b.avi");
    CHECK_FALSE(wasKnown(folder / "b.avi", cache.path()));
    fs::remove(path);
    CHECK_THROWS_AS(media::openFootage(path, {}, {}, {{}, cache.path()}), core::Error);
}

TEST_CASE("the index of footage that changed while it was read isn't kept", "[media][index]")
{
    const TempFolder folder, cache;
    const fs::path path = folder / "a.mp4";
    fs::copy_file(film("small.mp4", smallSpec()), path);
    const auto footage = media::openFootage(path);
    fs::last_write_time(path, fs::last_write_time(path) + std::chrono::seconds(1));
    CHECK_THROWS_WITH(media::IndexCache(cache.path()).store(*footage),
                      Catch::Contains("has changed since it was read"));
    CHECK_FALSE(media::IndexCache(cache.path()).load(path));
}

TEST_CASE("a picture that joins or leaves a folder makes its index stale", "[media][index]")
{
    const TempFolder folder, cache;
    const media::RgbImage image{4, 4, std::vector<std::uint8_t>(48, 77)};
    for (int n = 1; n <= 4; ++n)
        writePng(image, folder / (std::to_string(n) + ".png"));
    CHECK_FALSE(wasKnown(folder.path(), cache.path()));
    CHECK(wasKnown(folder.path(), cache.path()));
    writePng(image, folder / "5.png");
    CHECK_FALSE(wasKnown(folder.path(), cache.path()));
    fs::remove(folder / "2.png");
    CHECK_FALSE(wasKnown(folder.path(), cache.path()));
    CHECK(media::openFootage(folder.path(), {}, {}, {{}, cache.path()})->frames.size() == 4);
}

TEST_CASE("a damaged cache entry is noticed, whatever its bytes, and made anew", "[media][index]")
{
    const TempFolder cache;
    const fs::path path = film("small.mp4", smallSpec());
    media::openFootage(path, {}, {}, {{}, cache.path()});
    const fs::path entry = onlyEntry(cache.path());
    const std::string good = readBytes(entry);
    std::mt19937 random(3);
    for (int round = 0; round < 40; ++round) {
        std::string bad = good;
        bad[random() % bad.size()] ^= static_cast<char>(1 + random() % 255);
        if (round % 4 == 0)
            bad.resize(random() % bad.size());
        writeBytes(entry, bad);
        CHECK_FALSE(media::IndexCache(cache.path()).load(path));
    }
    CHECK_FALSE(wasKnown(path, cache.path()));
    CHECK(readBytes(entry) == good);

    // Even with a checksum that fits, what makes no sense isn't taken.
    const auto footage = media::openFootage(path);
    const auto spoilt = [&](const std::function<void(media::Footage&)>& spoil) {
        media::Footage copy = *footage;
        spoil(copy);
        return media::readIndex(media::writeIndex(copy, 1), 1);
    };
    CHECK(spoilt([](media::Footage&) {}));
    CHECK_FALSE(spoilt([](media::Footage& f) { f.frames.clear(); }));
    CHECK_FALSE(spoilt([](media::Footage& f) { f.frames[5].ordinal = 1000; }));
    CHECK_FALSE(spoilt([](media::Footage& f) { f.rotation = 45; }));
    CHECK(spoilt([](media::Footage& f) { f.formatChanges.push_back({{3}, {2, 2}, "gray"}); }));
    CHECK_FALSE(spoilt([](media::Footage& f) { f.formatChanges.push_back({{0}, {2, 2}, "gray"}); }));
    CHECK_FALSE(spoilt([](media::Footage& f) { f.formatChanges.push_back({{3}, {2, 0}, "gray"}); }));
    CHECK_FALSE(spoilt([](media::Footage& f) { f.streams.push_back({-1, "h264", {2, 2}, {}, false, true}); }));
    CHECK_FALSE(spoilt([](media::Footage& f) { f.doubts.push_back({{3}, {60}, "why"}); }));
    CHECK_FALSE(spoilt([](media::Footage& f) { f.numberingHoles.push_back({{3}, -1}); }));
    CHECK_FALSE(media::readIndex(media::writeIndex(*footage, 1), 2));
}

TEST_CASE("a cache that can't be written is told and opens all the same", "[media][index]")
{
    const TempFolder folder;
    writeBytes(folder / "file", "in the way");
    const auto footage = media::openFootage(film("small.mp4", smallSpec()), {}, {}, {{}, folder / "file"});
    CHECK(footage->frames.size() == 60);
    REQUIRE(footage->cacheFault);
    CHECK_THAT(*footage->cacheFault, Catch::Contains("can't be kept"));
}

TEST_CASE("the oldest entries go when the cache grows too large", "[media][index]")
{
    const TempFolder cache;
    const auto footage = media::openFootage(film("small.mp4", smallSpec()));
    const auto other = media::openFootage(film("small.mkv", smallSpec()));
    const auto size = static_cast<std::int64_t>(media::writeIndex(*footage, 1).size());
    const media::IndexCache small(cache.path(), size * 3 / 2);
    small.store(*footage);
    fs::last_write_time(onlyEntry(cache.path()), fs::file_time_type::clock::now() - std::chrono::hours(1));
    small.store(*other);
    CHECK_FALSE(small.load(footage->path));
    CHECK(small.load(other->path));
}
