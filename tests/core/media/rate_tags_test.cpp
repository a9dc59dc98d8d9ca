#include "core/media/rate_tags.h"
#include "tests/footage/temp_folder.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <random>

namespace {

std::string big32(std::uint32_t value)
{
    return {static_cast<char>(value >> 24), static_cast<char>(value >> 16), static_cast<char>(value >> 8), static_cast<char>(value)};
}

std::string box(const std::string& type, const std::string& inside) { return big32(static_cast<std::uint32_t>(inside.size() + 8)) + type + inside; }

const std::string brand = box("ftyp", "isom" + std::string(4, '\0'));
const std::string xml = "<?xml version=\"1.0\"?><NonRealTimeMeta><VideoFormat><VideoFrame captureFps=\"959.04p\" formatFps=\"23.98p\"/></VideoFormat></NonRealTimeMeta>";

void write(const std::filesystem::path& path, const std::string& bytes) { std::ofstream(path, std::ios::binary) << bytes; }

std::string slowMotion(int mode, const std::string& more = {})
{
    const std::string saut = box("saut", std::string(4, '\0') + std::string{'\1', '\0', '\0', static_cast<char>(mode)});
    return brand + box("moov", box("udta", box("smta", std::string(4, '\0') + saut + more)));
}

std::string cameraSet(std::uint32_t numerator, std::uint32_t denominator)
{
    const std::string items = std::string("\x80\x01\x00\x02", 4) + "ab" + std::string("\x81\x06\x00\x08", 4) + big32(numerator) + big32(denominator);
    return std::string("\x06\x0e\x2b\x34\x02\x05\x01\x01", 8) + std::string(40, 'x') + std::string("\x06\x0e\x2b\x34\x02\x53\x01\x01\x0c\x02\x01\x01\x02\x01\x00\x00", 16)
        + static_cast<char>(items.size()) + items;
}

} // namespace

TEST_CASE("capture rates in boxes, XML and camera sets become tags", "[media]")
{
    const TempFolder folder;
    const auto tagsOf = [&](const std::string& bytes) {
        write(folder / "film.mp4", bytes);
        return media::rateTags(folder / "film.mp4");
    };
    CHECK(tagsOf(slowMotion(12)).at("smta recording mode") == "240");
    CHECK(tagsOf(slowMotion(13)).at("smta recording mode") == "120");
    CHECK(tagsOf(slowMotion(21, box("srfr", big32(960 << 16)))).at("smta recording mode") == "62914560/65536");
    CHECK(tagsOf(slowMotion(5)).empty());
    const std::string meta = box("meta", std::string(4, '\0') + box("xml ", std::string(4, '\0') + xml));
    CHECK(tagsOf(brand + box("mdat", "....") + meta).at("VideoFrame captureFps") == "959.04");
    CHECK(tagsOf(brand + box("moov", meta)).at("VideoFrame captureFps") == "959.04");
    CHECK(tagsOf(cameraSet(960000, 1001)).at("RDD 18 capture frame rate") == "960000/1001");
    CHECK(tagsOf(brand).empty());

    write(folder / "filmM01.XML", xml);
    CHECK(tagsOf(brand).at("VideoFrame captureFps") == "959.04");
    CHECK(media::rateTags(folder / "nothing.mp4").empty());
}

TEST_CASE("tags from boxes and keys in capitals are evidence", "[media]")
{
    const TempFolder folder;
    write(folder / "film.mp4", slowMotion(21, box("srfr", big32(960 << 16))));
    media::Footage footage;
    footage.path = folder / "film.mp4";
    footage.container = "mov,mp4,m4a,3gp,3g2,mj2";
    footage.tags = {{"COM.ANDROID.CAPTURE.FPS", "240"}, {"com.apple.quicktime.camera.framereadouttimeinmicroseconds", "4166"}};
    const auto evidence = media::rateEvidence(footage, {});
    REQUIRE(evidence.size() == 2);
    CHECK(evidence[0].rate == 240);
    CHECK(evidence[1].rate == 960);
    CHECK_FALSE(timing::agree(evidence[0], evidence[1]));
}

TEST_CASE("broken boxes give nothing and never run on", "[media]")
{
    const TempFolder folder;
    const std::string whole = slowMotion(21, box("srfr", big32(960 << 16))) + box("meta", std::string(4, '\0') + box("xml ", std::string(4, '\0') + xml));
    const std::string sets = cameraSet(960000, 1001);
    std::mt19937 random(7);
    for (int i = 0; i < 400; ++i) {
        std::string bytes = i % 2 ? whole : sets;
        for (int k = 0; k < 1 + i % 5; ++k)
            bytes[random() % bytes.size()] = static_cast<char>(random());
        if (i % 3 == 0)
            bytes.resize(random() % bytes.size());
        write(folder / "film.mp4", bytes);
        CHECK(media::rateTags(folder / "film.mp4").size() <= 3);
    }
    // Boxes of no size, one within another, and lengths beyond the file.
    for (const std::string& bytes : {brand + big32(1) + "moov" + std::string(8, '\xff'), brand + big32(0) + "moov" + big32(4) + "udta",
                                     brand + big32(7) + "moov", brand + std::string(100'000, '\0')}) {
        write(folder / "film.mp4", bytes);
        CHECK(media::rateTags(folder / "film.mp4").empty());
    }
}
