// Files of real devices, from a folder that isn't part of the project: whatever lies there either can't be opened, and
// one sentence says why, or every picture is the one that plain decoding gives.
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/footage.h"
#include "core/media/tags/rate_tags.h"
#include "tests/core/media/plain_decode.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <random>

namespace {

std::vector<std::filesystem::path> realFiles()
{
    std::vector<std::filesystem::path> files;
    const char* folder = std::getenv("TALLYFRAME_REAL_FILES");
    if (!folder)
        return files;
    for (const auto& item : std::filesystem::directory_iterator(folder))
        if (item.is_regular_file() && item.path().extension() != ".md")
            files.push_back(item.path());
    std::ranges::sort(files);
    return files;
}

} // namespace

TEST_CASE("footage of real devices is exact to the picture, or refused in a sentence", "[media][real-files]")
{
    const std::vector<std::filesystem::path> files = realFiles();
    if (files.empty())
        WARN("TALLYFRAME_REAL_FILES names no folder with footage: nothing was looked at.");
    for (const std::filesystem::path& file : files) {
        CAPTURE(file.filename().string());
        std::shared_ptr<const media::Footage> footage;
        try {
            footage = media::openFootage(file);
        } catch (const core::Error& error) {
            CHECK(std::string(error.what()).ends_with('.'));
            continue;
        }
        CHECK(footage->doubts.empty());
        for (const timing::TagReading& tag : media::tagReadings(*footage))
            CHECK(tag.key != "damaged metadata");
        const std::vector<PlainPicture> plain = plainDecode(file, footage->streamIndex);
        REQUIRE(footage->frameCount().value == std::ssize(plain));
        // Every picture of short films in random order, some of long ones.
        std::vector<std::int64_t> order(plain.size());
        for (std::size_t i = 0; i < order.size(); ++i)
            order[i] = static_cast<std::int64_t>(i);
        std::ranges::shuffle(order, std::mt19937(7));
        order.resize(std::min<std::size_t>(order.size(), 40));
        media::FrameReader reader(footage);
        for (const std::int64_t n : order) {
            CAPTURE(n);
            REQUIRE(reader.read({n}).md5() == plain[n].md5);
        }
    }
}

TEST_CASE("of a film and a larger still in one file the film is opened", "[media][real-files]")
{
    for (const std::filesystem::path& file : realFiles()) {
        std::shared_ptr<const media::Footage> footage;
        try {
            footage = media::scanFootage(file);
        } catch (const core::Error&) {
            continue; // the other test looks at what it says
        }
        CAPTURE(file.filename().string());
        for (const media::VideoStream& stream : footage->streams) {
            if (!stream.decodable || stream.index == footage->streamIndex)
                continue;
            const auto other = media::scanFootage(file, {}, {}, {stream.index, {}});
            CHECK(2 * footage->frameCount().value >= other->frameCount().value);
        }
    }
}
