#include "core/media/index/packet_places.h"
#include "core/media/index/parts.h"
#include "tests/core/media/films.h"
#include <catch2/catch.hpp>
#include <set>

TEST_CASE("scanning and decoding know a picture by the same packet, and each packet by its frame", "[media]")
{
    const auto path = film("packet_places.mp4", smallSpec());
    const auto decoded = media::openFootage(path), scanned = media::scanFootage(path);
    const timing::FramesByPacket frames = media::framesByPacket(*decoded);
    REQUIRE(frames.size() == decoded->frames.size());
    bool reordered = false;
    for (timing::FrameNumber n; n.value < decoded->frameCount().value; ++n.value) {
        const timing::PacketPlace packet = media::packetOf(*decoded, n);
        CHECK(packet.part == 0);
        CHECK(packet == media::packetOf(*scanned, n));
        CHECK(timing::frameFrom(frames, packet) == n);
        CHECK(media::frameFrom(*decoded, packet) == n);
        reordered = reordered || packet.ordinal != n.value;
    }
    CHECK(reordered);
    CHECK_FALSE(timing::frameFrom(frames, {0, decoded->frameCount().value}));
    CHECK_FALSE(media::frameFrom(*decoded, {0, decoded->frameCount().value}));
    CHECK_FALSE(media::frameFrom(*decoded, {1, 0}));
}

TEST_CASE("packets of a joined recording are counted part by part", "[media]")
{
    const auto one = media::openFootage(film("packet_places.mp4", smallSpec()));
    const auto joined = media::joinParts({one, one});
    const timing::FrameNumber second{one->frameCount().value + 7};
    CHECK(media::packetOf(*joined, {7}) == media::packetOf(*one, {7}));
    CHECK(media::packetOf(*joined, second) == timing::PacketPlace{1, media::packetOf(*one, {7}).ordinal});
    CHECK(media::frameFrom(*joined, media::packetOf(*joined, second)) == second);
    CHECK(timing::frameFrom(media::framesByPacket(*joined), media::packetOf(*joined, second)) == second);
    CHECK_FALSE(media::frameFrom(*joined, {2, 0}));
}
