#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/sequential_pass.h"
#include "tests/core/media/films.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <numeric>
#include <random>
#include <set>

namespace {

using media::Footage;

std::set<std::int64_t> doubtful(const Footage& footage)
{
    std::set<std::int64_t> frames;
    for (const media::Doubt& doubt : footage.doubts) {
        REQUIRE(doubt.first <= doubt.last);
        REQUIRE(!doubt.why.empty());
        for (std::int64_t n = doubt.first.value; n <= doubt.last.value; ++n)
            frames.insert(n);
    }
    return frames;
}

std::string damaged(std::string bytes, std::size_t from, std::size_t count, std::mt19937& random)
{
    for (std::size_t i = 0; i < count && from + i < bytes.size(); ++i)
        bytes[from + i] = static_cast<char>(random());
    return bytes;
}

} // namespace

TEST_CASE("damaged footage names its doubts and gives the same pictures in any order", "[media][damage]")
{
    const TempFolder folder;
    const std::string extension =
        GENERATE("mp4", "mkv", "ts", "avi", "flv", "h264", "mpg", "hevc.mkv", "vp8.mkv", "mpeg4.avi");
    footage::Spec spec = smallSpec();
    if (extension == "mpg")
        spec.storage.codec = "mpeg2video", spec.storage.playbackRate = {25, 1}, spec.storage.bFrames = 2;
    if (extension == "hevc.mkv")
        spec.storage.codec = "libx265";
    if (extension == "vp8.mkv")
        spec.storage.codec = "libvpx";
    if (extension == "mpeg4.avi")
        spec.storage.codec = "mpeg4", spec.storage.bFrames = 2;
    const auto whole = media::openFootage(film("small." + extension, spec));
    REQUIRE(whole->doubts.empty());
    std::set<std::uint64_t> right;
    for (const media::FrameEntry& frame : whole->frames)
        right.insert(frame.hash);
    const std::string bytes = readBytes(whole->path);

    std::mt19937 random(11);
    constexpr int rounds = 6;
    int unnoticed = 0;
    for (int round = 0; round < rounds; ++round) {
        const std::size_t from = bytes.size() / 10 + random() % (bytes.size() * 7 / 10);
        CAPTURE(extension, round, from);
        const std::filesystem::path path = folder / (std::to_string(round) + "." + extension);
        writeBytes(path, damaged(bytes, from, 300, random));
        std::shared_ptr<const Footage> opened;
        try {
            opened = media::openFootage(path);
        } catch (const core::Error& error) { // the damage hit what the container can't do without
            CHECK_THAT(error.what(), Catch::EndsWith("."));
            continue;
        }
        const std::set<std::int64_t> doubts = doubtful(*opened);
        std::vector<std::int64_t> order(opened->frames.size());
        std::iota(order.begin(), order.end(), std::int64_t{0});
        const bool wrongWithoutDoubt = std::any_of(order.begin(), order.end(), [&](std::int64_t n) {
            return !right.contains(opened->frames[n].hash) && !doubts.contains(n);
        });
        const bool fewerWithoutFault = opened->frames.size() < whole->frames.size() && !opened->fault;
        unnoticed += wrongWithoutDoubt || fewerWithoutFault;
        CHECK((doubts.empty() || opened->fault));

        const auto again = media::openFootage(path);
        CHECK(again->frames.size() == opened->frames.size());
        std::shuffle(order.begin(), order.end(), random);
        media::FrameReader reader(again);
        for (const std::int64_t n : order) {
            INFO("frame " << n);
            CHECK(reader.read({n}).hash() == opened->frames[n].hash);
        }
    }
    // H.264 seldom fails to notice (of 360 other rounds 23 went by: noise that happens to end where the picture ends).
    // A bare stream has no packet lengths, HEVC and VP8 read any bits as something: there no promise can be made.
    const bool promised = extension != "h264" && extension.find('.') == std::string::npos;
    CHECK((unnoticed <= 1 || !promised));
}

TEST_CASE("noise in the place of a file's head is refused or read, never worse", "[media][damage]")
{
    const TempFolder folder;
    const std::string extension = GENERATE("mp4", "mkv", "avi", "ts", "flv");
    const std::string bytes = readBytes(film("small." + extension, smallSpec()));
    std::mt19937 random(5);
    for (int round = 0; round < 25; ++round) {
        // mp4 has its tables at the end, the others at the beginning.
        const std::size_t base = extension == "mp4" && round % 2 ? bytes.size() - 3000 : 0;
        const std::filesystem::path path = folder / (std::to_string(round) + "." + extension);
        writeBytes(path, damaged(bytes, base + random() % 1500, 1 + random() % 40, random));
        CAPTURE(extension, round);
        try {
            const auto footage = media::openFootage(path);
            CHECK(!footage->frames.empty());
            media::FrameReader reader(footage);
            CHECK(reader.read({footage->frameCount().value - 1}));
        } catch (const core::Error& error) {
            CHECK_THAT(error.what(), Catch::EndsWith("."));
        }
    }
}

TEST_CASE("a complaint that a frame thread makes between two packets is heard", "[media][damage]")
{
    const auto path = film("small.mp4", smallSpec());
    media::Complaints complaints;
    media::Demuxer demuxer(path, {}, {});
    media::Decoder decoder(demuxer.decoder(), demuxer.stream(), media::Threading::Throughput, complaints);
    std::int64_t packets = 0;
    std::vector<std::string> heard;
    media::PassEvents events;
    events.packet = [&](const media::PacketMark&) {
        if (++packets == 20)
            complaints.add("late by a packet", -1);
    };
    events.picture = [](media::FramePtr, std::int64_t) {};
    events.trouble = [&](const media::Trouble& trouble) { heard.push_back(trouble.detail); };
    media::decodeAll(demuxer, decoder, complaints, events);
    CHECK(packets == 60);
    CHECK(heard == std::vector<std::string>{"late by a packet"});
}
