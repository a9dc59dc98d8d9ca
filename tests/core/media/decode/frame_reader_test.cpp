#include "core/media/decode/frame_reader.h"
#include "core/media/index/parts.h"
#include "core/error.h"
#include "core/media/index/packet_table.h"
#include "tests/core/media/films.h"
#include "tests/watched_disk.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <numeric>
#include <random>

namespace {

std::shared_ptr<media::Footage> copyOf(const media::Footage& footage)
{
    return std::make_shared<media::Footage>(footage);
}

} // namespace

TEST_CASE("entry points that aren't clean do no harm, for every picture is checked", "[media][reader]")
{
    const std::string extension = GENERATE("mp4", "ts", "avi", "h264");
    const auto footage = smallFilm(extension);
    const auto lie = copyOf(*footage);
    for (media::FrameEntry& frame : lie->frames) // as a container does that marks every sample as a key
        frame.cleanEntry = true;
    media::FrameReader reader(lie);
    std::vector<std::int64_t> order(lie->frames.size());
    std::iota(order.begin(), order.end(), std::int64_t{0});
    std::mt19937 random(6);
    std::shuffle(order.begin(), order.end(), random);
    for (const std::int64_t n : order) {
        INFO(extension << " frame " << n);
        CHECK(reader.read({n}).hash() == footage->frames[n].hash);
    }
}

TEST_CASE("a frame that never comes out as it was indexed is shown as one thread decodes it, and doubted",
          "[media][reader]")
{
    const auto footage = smallFilm("mp4");
    const auto other = copyOf(*footage);
    other->frames[30].hash ^= 1;
    media::FrameReader reader(other);
    other->frames[31].hash ^= 1; // of the same group; with 44 in another
    other->frames[44].hash ^= 1;
    CHECK(reader.read({29}).hash() == footage->frames[29].hash);
    CHECK(reader.doubts().empty());
    std::vector<std::int64_t> passed;
    const auto note = [&](timing::FrameNumber n, const media::Picture& picture) {
        passed.push_back(n.value);
        CHECK(picture.hash() == footage->frames[n.value].hash);
    };
    CHECK(reader.read({30}, {}, note).hash() == footage->frames[30].hash);
    CHECK(passed.back() == 30);
    REQUIRE(reader.doubts().size() == 1);
    CHECK(reader.doubts()[0].first == timing::FrameNumber{30});
    CHECK(reader.doubts()[0].last == timing::FrameNumber{31});
    for (const std::int64_t n : {12, 30, 31, 30, 40, 59, 0, 31}) { // the others are as good as before
        CHECK(reader.read({n}).hash() == footage->frames[n].hash);
        CHECK(reader.doubts().size() == 1);
    }
    CHECK(reader.read({45}).hash() == footage->frames[45].hash);
    REQUIRE(reader.doubts().size() == 2);
    CHECK(reader.doubts()[1].first == timing::FrameNumber{44});
    CHECK(reader.doubts()[1].last == timing::FrameNumber{44});
}

TEST_CASE("a frame of a file that was changed meanwhile is refused by its number, never shown as something else",
          "[media][reader]")
{
    const TempFolder folder;
    const std::filesystem::path path = folder / "changed.mp4";
    const std::string bytes = readBytes(smallFilm("mp4")->path);
    writeBytes(path, bytes);
    const auto footage = media::openFootage(path);
    std::string changed = bytes;
    std::mt19937 random(3);
    for (std::size_t i = bytes.size() / 2; i < bytes.size() / 2 + 300; ++i)
        changed[i] = static_cast<char>(random());
    writeBytes(path, changed);
    media::FrameReader reader(footage);
    int refused = 0;
    for (std::int64_t n = 0; n < footage->frameCount().value; ++n) {
        try {
            const media::Picture picture = reader.read({n});
            CHECK(picture.hash() == footage->frames[n].hash);
        } catch (const core::Error& error) {
            ++refused;
            CHECK(error.kind() == core::ErrorKind::AtOdds);
            CHECK_THAT(error.what(),
                       Catch::Contains("Frame " + std::to_string(n) + " ") && Catch::Contains("changed.mp4"));
        }
    }
    CHECK(refused > 0);
    CHECK(reader.doubts().empty());
}

TEST_CASE("what passes by comes in order, once each, from the entry point to the frame", "[media][reader]")
{
    const auto footage = smallFilm("mp4"); // groups of 12
    media::FrameReader reader(footage);
    const auto passed = [&](std::int64_t n) {
        std::vector<std::int64_t> numbers;
        reader.read({n}, {}, [&](timing::FrameNumber number, const media::Picture& picture) {
            numbers.push_back(number.value);
            CHECK(picture.hash() == footage->frames[number.value].hash);
        });
        return numbers;
    };
    CHECK(passed(27) == std::vector<std::int64_t>{24, 25, 26, 27});
    CHECK(passed(29) == std::vector<std::int64_t>{28, 29}); // goes on where it was
    CHECK(passed(59) == std::vector<std::int64_t>{48, 49, 50, 51, 52, 53, 54, 55, 56, 57, 58, 59});
    CHECK(passed(59) == std::vector<std::int64_t>{48, 49, 50, 51, 52, 53, 54, 55, 56, 57, 58, 59});
    CHECK(passed(0) == std::vector<std::int64_t>{0});
}

TEST_CASE("where decoding goes on is told, and that it begins elsewhere", "[media][reader]")
{
    media::FrameReader reader(smallFilm("mp4")); // groups of 12
    CHECK_FALSE(reader.nextTowards({0}));
    reader.read({27});
    CHECK(reader.nextTowards({28}) == timing::FrameNumber{28});
    CHECK(reader.nextTowards({35}) == timing::FrameNumber{28});
    CHECK_FALSE(reader.nextTowards({40})); // the group at 36 is nearer
    CHECK_FALSE(reader.nextTowards({27}));

    const auto part = smallFilm("mp4");
    media::FrameReader joined(media::joinParts({part, part}));
    joined.read({60 + 27});
    CHECK(joined.nextTowards({60 + 30}) == timing::FrameNumber{60 + 28});
    CHECK_FALSE(joined.nextTowards({30})); // of a part that isn't open
}

TEST_CASE("long ways are decoded by frame threads, with the same pictures in any order", "[media][reader][long]")
{
    const bool confirmed = GENERATE(true, false);
    const auto [name, codec] =
        GENERATE(table<std::string, std::string>({{"long_way.mp4", "libx264"}, {"long_way_hevc.mp4", "libx265"}}));
    footage::Spec spec = smallSpec(150);
    spec.storage.gop = 70;
    spec.storage.codec = codec;
    const auto footage = media::openFootage(film(name, spec));
    const auto opened = confirmed ? footage : media::scanFootage(film(name, spec));
    REQUIRE(opened->frames.size() == footage->frames.size());
    media::FrameReader reader(opened);
    std::mt19937 random(15);
    std::vector<std::pair<std::int64_t, media::Picture>> held;
    for (int i = 0; i < 60; ++i) {
        const auto n = static_cast<std::int64_t>(random() % footage->frames.size());
        const bool few = random() % 2;
        held.emplace_back(n, reader.read({n}, {}, {}, few ? std::optional(timing::FrameNumber{n}) : std::nullopt));
        if (random() % 3 == 0 && n > 0)
            held.emplace_back(n - 1, reader.read({n - 1}));
    }
    for (const auto& [n, picture] : held) {
        INFO(name << " frame " << n << (confirmed ? "" : ", not confirmed"));
        CHECK(picture.hash() == footage->frames[n].hash);
    }
}

TEST_CASE("pictures that nothing builds on are left out on the way to a frame, and come when they are wanted",
          "[media][reader][long]")
{
    footage::Spec spec = smallSpec(150);
    spec.storage.gop = 70;
    const auto footage = media::openFootage(film("long_way.mp4", spec));
    media::FrameReader reader(footage);
    std::vector<std::int64_t> passed;
    const auto note = [&](timing::FrameNumber n, const media::Picture& picture) {
        passed.push_back(n.value);
        CHECK(picture.hash() == footage->frames[n.value].hash);
    };
    reader.read({60}, {}, note, timing::FrameNumber{50});
    std::vector<std::int64_t> wanted(11);
    std::iota(wanted.begin(), wanted.end(), std::int64_t{50});
    CHECK(passed == wanted);

    passed.clear();
    reader.read({61}, {}, note); // goes on where it was
    CHECK(passed == std::vector<std::int64_t>{61});

    // Stopped amid the way, then a frame that was passed over is wanted.
    media::FrameReader fresh(footage);
    std::stop_source stop;
    CHECK_THROWS_AS(fresh.read(
                        {60}, stop.get_token(),
                        [&](timing::FrameNumber n, const media::Picture&) {
                            if (n.value >= 50)
                                stop.request_stop();
                        },
                        timing::FrameNumber{50}),
                    core::Cancelled);
    for (std::int64_t n = 40; n < 60; ++n)
        CHECK(fresh.read({n}).hash() == footage->frames[n].hash);
}

TEST_CASE("numbers and pictures don't depend on how many readers there are", "[media][reader]")
{
    const auto footage = smallFilm("mkv");
    std::vector<std::unique_ptr<media::FrameReader>> readers;
    for (int i = 0; i < 8; ++i)
        readers.push_back(std::make_unique<media::FrameReader>(footage));
    std::mt19937 random(8);
    std::vector<media::Picture> held; // pictures stay what they are while decoding goes on
    std::vector<std::int64_t> numbers;
    for (int i = 0; i < 120; ++i) {
        numbers.push_back(static_cast<std::int64_t>(random() % 60));
        held.push_back(readers[random() % readers.size()]->read({numbers.back()}));
    }
    readers.clear();
    for (std::size_t i = 0; i < held.size(); ++i)
        CHECK(held[i].hash() == footage->frames[numbers[i]].hash);
}

TEST_CASE("a jump that is stopped reads nothing more, where the file can be sought in and where it can't",
          "[media][reader][stop]")
{
    const std::string ending = GENERATE("mp4", "mkv", "ts", "avi", "h264");
    const bool canBeSought = GENERATE(true, false);
    CAPTURE(ending, canBeSought);
    std::shared_ptr<const media::Footage> footage = smallFilm(ending);
    if (!canBeSought) { // its packets tell of no place: what is left is to read it from the start
        auto packets = std::make_shared<media::PacketTable>(*footage->packets);
        for (media::PacketMark& mark : packets->marks)
            mark = {-1, INT64_MIN, INT64_MIN, mark.size, mark.flags};
        auto placeless = std::make_shared<media::Footage>(*footage);
        placeless->packets = std::move(packets);
        footage = std::move(placeless);
    }
    const auto readsWhenStoppedAt = [&](std::int64_t stopAt) {
        std::stop_source stop;
        std::int64_t reads = 0;
        const WatchedDisk disk(footage->path, [&](std::int64_t) {
            if (++reads == stopAt)
                stop.request_stop();
        });
        try {
            media::FrameReader reader(footage, stop.get_token());
            reader.read({59}, stop.get_token());
        } catch (const core::Cancelled&) {
        } catch (const core::Error&) {
            CHECK_FALSE(canBeSought); // its packets aren't those that were indexed
        }
        return reads;
    };
    const std::int64_t all = readsWhenStoppedAt(0);
    CHECK(all > 2);
    for (std::int64_t stopAt = 1; stopAt < all; stopAt += 1 + all / 8)
        CHECK(readsWhenStoppedAt(stopAt) == stopAt);
}
