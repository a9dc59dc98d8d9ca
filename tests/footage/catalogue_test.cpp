#include "tests/footage/catalogue.h"
#include "tests/footage/edit.h"
#include "tests/footage/sequential_decode.h"
#include "tests/footage/temp_folder.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <cctype>
#include <set>

namespace fs = std::filesystem;

namespace {

/// Pictures of a folder in the order of their numbers.
std::vector<fs::path> picturesOf(const fs::path& folder)
{
    std::vector<std::pair<int, fs::path>> numbered;
    for (const auto& entry : fs::directory_iterator(folder)) {
        const std::string name = entry.path().stem().string();
        numbered.emplace_back(std::stoi(name.substr(name.find_first_of("0123456789"))), entry.path());
    }
    std::sort(numbered.begin(), numbered.end());
    std::vector<fs::path> paths;
    for (const auto& [number, path] : numbered)
        paths.push_back(path);
    return paths;
}

std::vector<int> shown(const fs::path& path, int stream)
{
    std::vector<int> numbers;
    const auto visit = [&](const AVFrame& frame) { numbers.push_back(footage::barcodeOf(frame).value_or(-1)); };
    if (!fs::is_directory(path)) {
        footage::decodeFile(path, visit, stream);
        return numbers;
    }
    for (const fs::path& picture : picturesOf(path))
        footage::decodeFile(picture, visit);
    return numbers;
}

} // namespace

TEST_CASE("plain decoding of every kind of file shows what was put into it", "[footage][catalogue]")
{
    const TempFolder cache;
    for (const footage::CatalogueEntry& entry : footage::catalogue()) {
        CAPTURE(entry.name, entry.trap);
        const footage::CatalogueFile file = entry.make(cache.path());
        std::vector<int> numbers = shown(file.path, file.stream);
        REQUIRE(!file.barcodes.empty());
        REQUIRE(numbers.size() >= file.barcodes.size());
        CHECK(numbers.size() <= file.barcodes.size() + static_cast<std::size_t>(file.damagedTail));
        numbers.resize(file.barcodes.size());
        CHECK(numbers == file.barcodes);
        CHECK((file.stamps.empty() || file.stamps.size() == file.barcodes.size()));
    }
}

TEST_CASE("the traps that a packet count shows are in the files", "[footage][catalogue]")
{
    const TempFolder cache;
    const auto packetsOf = [&](const std::string& name) {
        const auto entries = footage::catalogue();
        const auto entry = std::find_if(entries.begin(), entries.end(), [&](const auto& e) { return e.name == name; });
        REQUIRE(entry != entries.end());
        const auto file = entry->make(cache.path());
        return std::pair(footage::takePackets(file.path), file.barcodes.size());
    };
    const auto leading = [](const std::vector<footage::LoosePacket>& packets) {
        std::size_t count = 0;
        std::int64_t key = 0;
        for (const auto& packet : packets) {
            key = packet.key ? packet.pts : key;
            count += packet.pts < key ? 1 : 0;
        }
        return count;
    };
    for (const char* name : {"vp8_mkv", "h264_open_start_mkv", "hevc_open_start_mkv", "h264_edit_list_mp4"}) {
        CAPTURE(name);
        const auto [packets, frames] = packetsOf(name);
        CHECK(packets.size() > frames);
    }
    for (const char* name : {"h264_open_gop_mp4", "h264_open_gop_mkv", "hevc_open_gop_mp4", "hevc_open_gop_mkv"}) {
        CAPTURE(name);
        CHECK(leading(packetsOf(name).first) >= 8);
    }
    CHECK(leading(packetsOf("h264_b_pyramid_mp4").first) == 0);

    std::set<std::int64_t> stamps;
    const auto packets = packetsOf("h264_mkv_ms_1200").first;
    for (const auto& packet : packets)
        stamps.insert(packet.pts);
    CHECK(stamps.size() < packets.size());
}

TEST_CASE("names in the catalogue are unique and fit for file names", "[footage][catalogue]")
{
    std::set<std::string> names;
    for (const footage::CatalogueEntry& entry : footage::catalogue()) {
        CHECK(names.insert(entry.name).second);
        CHECK(std::all_of(entry.name.begin(), entry.name.end(),
                          [](unsigned char c) { return std::islower(c) || std::isdigit(c) || c == '_'; }));
    }
}

TEST_CASE("a film made before is found again with its truth", "[footage][catalogue]")
{
    const TempFolder cache;
    const auto entries = footage::catalogue();
    const auto entry =
        std::find_if(entries.begin(), entries.end(), [](const auto& e) { return e.name == "h264_vfr_mp4"; });
    REQUIRE(entry != entries.end());
    const auto first = entry->make(cache.path());
    const auto made = fs::last_write_time(first.path);
    const auto second = entry->make(cache.path());
    CHECK(second.path == first.path);
    CHECK(second.barcodes == first.barcodes);
    CHECK(second.stamps == first.stamps);
    CHECK(fs::last_write_time(second.path) == made);
}
