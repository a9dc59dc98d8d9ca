#include "core/media/index/packet_finder.h"
#include <catch2/catch.hpp>

namespace {

using media::PacketFinder;
using media::PacketMark;
using media::PacketTable;
using Answer = media::PacketFinder::Answer;

PacketTable tableOf(std::vector<PacketMark> marks) { return {std::move(marks), 0, false}; }

} // namespace

TEST_CASE("a packet is found by its place in the file", "[media][finder]")
{
    const PacketTable table = tableOf({{100, 0, 0, 10, 0}, {110, 1, 1, 20, 0}, {130, 2, 2, 10, 0}});
    PacketFinder finder(table, true);
    CHECK(finder.show({110, 99, 99, 20, 0}) == Answer::Found); // stamps may differ after a seek
    CHECK(finder.first() == 1);
    finder.restart();
    CHECK(finder.show({110, 1, 1, 21, 0}) == Answer::Unknown);
    finder.restart();
    CHECK(finder.show({130, 2, 2, 10, 0}) == Answer::Found);
    CHECK(finder.first() == 2);
}

TEST_CASE("packets that share a place are told apart by what follows", "[media][finder]")
{
    const PacketTable table =
        tableOf({{0, 0, 0, 5, 0}, {0, 1, 1, 5, 0}, {0, 2, 2, 7, 0}, {0, 3, 3, 5, 0}, {9, 4, 4, 5, 0}});
    PacketFinder finder(table, false);
    CHECK(finder.show({0, 0, 0, 5, 0}) == Answer::Several);
    CHECK(finder.show({0, 0, 0, 7, 0}) == Answer::Found);
    CHECK(finder.first() == 1);
    finder.restart();
    CHECK(finder.show({0, 0, 0, 5, 0}) == Answer::Several);
    CHECK(finder.show({9, 0, 0, 5, 0}) == Answer::Found);
    CHECK(finder.first() == 3);
    finder.restart();
    CHECK(finder.show({0, 0, 0, 5, 0}) == Answer::Several);
    CHECK(finder.show({9, 0, 0, 6, 0}) == Answer::Unknown);
}

TEST_CASE("the same bytes shown twice by an edit list are told apart by their stamps", "[media][finder]")
{
    const PacketTable table = tableOf({{0, 0, 0, 5, 0}, {5, 1, 1, 6, 0}, {0, 2, 2, 5, 0}, {5, 3, 3, 6, 0}});
    PacketFinder finder(table, true);
    CHECK(finder.show({0, 2, 2, 5, 0}) == Answer::Found);
    CHECK(finder.first() == 2);
}
