#include "core/media/frame_reader.h"
#include "core/error.h"
#include "tests/core/media/films.h"
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

TEST_CASE("entry points that aren't clean do no harm, for every picture is proved", "[media][reader]")
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
        CHECK(reader.read({n}).hash() == footage->frames[static_cast<std::size_t>(n)].hash);
    }
}

TEST_CASE("a frame that never comes out as it was indexed is refused by its number", "[media][reader]")
{
    const auto footage = smallFilm("mp4");
    const auto other = copyOf(*footage);
    other->frames[30].hash ^= 1;
    media::FrameReader reader(other);
    CHECK(reader.read({29}).hash() == footage->frames[29].hash);
    try {
        reader.read({30});
        FAIL("a picture was shown that isn't frame 30");
    } catch (const core::Error& error) {
        CHECK(error.kind() == core::ErrorKind::AtOdds);
        CHECK_THAT(error.what(), Catch::Contains("Frame 30 ") && Catch::Contains("small.mp4"));
    }
    CHECK(reader.read({12}).hash() == footage->frames[12].hash); // the others are as good as before
    CHECK(reader.read({40}).hash() == footage->frames[40].hash);
}

TEST_CASE("what passes by comes in order, once each, from the entry point to the frame", "[media][reader]")
{
    const auto footage = smallFilm("mp4"); // groups of 12
    media::FrameReader reader(footage);
    const auto passed = [&](std::int64_t n) {
        std::vector<std::int64_t> numbers;
        reader.read({n}, {}, [&](timing::FrameNumber number, const media::Picture& picture) {
            numbers.push_back(number.value);
            CHECK(picture.hash() == footage->frames[static_cast<std::size_t>(number.value)].hash);
        });
        return numbers;
    };
    CHECK(passed(27) == std::vector<std::int64_t>{24, 25, 26, 27});
    CHECK(passed(29) == std::vector<std::int64_t>{28, 29}); // goes on where it was
    CHECK(passed(59) == std::vector<std::int64_t>{48, 49, 50, 51, 52, 53, 54, 55, 56, 57, 58, 59});
    CHECK(passed(59) == std::vector<std::int64_t>{48, 49, 50, 51, 52, 53, 54, 55, 56, 57, 58, 59});
    CHECK(passed(0) == std::vector<std::int64_t>{0});
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
        CHECK(held[i].hash() == footage->frames[static_cast<std::size_t>(numbers[i])].hash);
}
