#include "core/media/tags/rate_tags.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/slow_segments.h"
#include "tests/footage/edit.h"
#include "tests/footage/footage.h"
#include "tests/footage/temp_folder.h"
#include "tests/tag_boxes.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <random>
#include <string_view>

using namespace tag_boxes;
using Catch::Contains;
using Says = timing::TagReading::Says;

namespace {

const std::string brand = box("ftyp", "isom" + std::string(4, '\0'));
const std::string xml = "<?xml version=\"1.0\"?><NonRealTimeMeta><VideoFormat><VideoFrame captureFps=\"959.04p\" "
                        "formatFps=\"23.98p\"/></VideoFormat>"
                        "<RecordingMode type=\"slowAndQuickMotion\"/></NonRealTimeMeta>";

void write(const std::filesystem::path& path, const std::string& bytes)
{
    std::ofstream(path, std::ios::binary) << bytes;
}

std::string slowMotion(int mode, std::uint32_t rate = 0) { return brand + box("moov", slowMotionBox(mode, rate)); }
std::string rateItem(std::uint32_t numerator, std::uint32_t denominator)
{
    return big32(numerator) + big32(denominator);
}
std::string xmlBox(const std::string& text = xml)
{
    return box("meta", std::string(4, '\0') + box("xml ", std::string(4, '\0') + text));
}

/// A film really written by libav, stored at 30 a second unless `change` says otherwise.
template <class Change> std::filesystem::path film(const TempFolder& folder, const char* name, Change change)
{
    footage::Spec spec;
    spec.scene.kind = footage::SceneKind::Pattern;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 24;
    spec.camera.nominalRate = {240, 1};
    change(spec);
    footage::make(spec, folder / name);
    return folder / name;
}
std::filesystem::path film(const TempFolder& folder, const char* name)
{
    return film(folder, name, [](footage::Spec&) {});
}

const timing::TagReading& find(const std::vector<timing::TagReading>& readings, std::string_view key)
{
    const auto found = std::ranges::find(readings, key, &timing::TagReading::key);
    INFO(key);
    REQUIRE(found != readings.end());
    return *found;
}

std::vector<timing::RateEvidence> evidenceOf(const media::Footage& footage)
{
    return media::rateEvidence(footage, media::stampPatternOf(footage));
}

} // namespace

TEST_CASE("capture rates in boxes, XML and camera metadata become tags", "[media][tags]")
{
    const TempFolder folder;
    const auto tagsOf = [&](const std::string& bytes) {
        write(folder / "film.mp4", bytes);
        return media::rateTags(folder / "film.mp4");
    };
    CHECK(tagsOf(slowMotion(12)).at("smta recording mode") == "240");
    CHECK(tagsOf(slowMotion(13)).at("smta recording mode") == "120");
    CHECK(tagsOf(slowMotion(21, 960 << 16)).at("smta recording mode") == "62914560/65536");
    CHECK(tagsOf(slowMotion(5)).empty());
    CHECK(tagsOf(brand + box("mdat", "....") + xmlBox()).at("VideoFrame captureFps") == "959.04");
    CHECK(tagsOf(brand + box("moov", xmlBox())).at("VideoFrame captureFps") == "959.04");
    const auto camera = tagsOf("\x06\x0e\x2b\x34" + std::string(40, 'x')
                               + cameraSet({{0x8001, "ab"}, {0x8106, rateItem(960000, 1001)}, {0x8108, big32(10800)}}));
    CHECK(camera.at("RDD 18 capture frame rate") == "960000/1001");
    CHECK(camera.at("RDD 18 shutter angle") == "10800");
    CHECK(tagsOf(brand).empty());

    write(folder / "filmM01.XML", xml);
    CHECK(tagsOf(brand).at("sidecar captureFps") == "959.04");
    CHECK(media::rateTags(folder / "nothing.mp4").empty());
}

TEST_CASE("a phone's film tells its capture rate by a key, and what a player is asked for isn't one", "[media][tags]")
{
    const TempFolder folder;
    const auto path = film(folder, "phone.mov", [](footage::Spec& spec) {
        spec.storage.tags = {{"com.android.capture.fps", "240.0"},
                             {"com.apple.quicktime.full-frame-rate-playback-intent", "0"},
                             {"com.apple.quicktime.camera.framereadouttimeinmicroseconds", "4166"}};
        spec.storage.muxerOptions = {{"movflags", "use_metadata_tags"}};
    });
    const auto opened = media::openFootage(path);
    const auto readings = media::tagReadings(*opened);
    const timing::TagReading& asked = find(readings, "com.android.capture.fps");
    CHECK(asked.says == Says::CaptureRate);
    REQUIRE(asked.evidence);
    CHECK(asked.evidence->rate == 240);
    CHECK(find(readings, "com.apple.quicktime.full-frame-rate-playback-intent").says == Says::NoRate);
    CHECK_THAT(find(readings, "com.apple.quicktime.camera.framereadouttimeinmicroseconds").meaning,
               Contains("never the time from frame to frame"));
    CHECK(find(readings, "container frame rate").value == "30");
    const auto evidence = evidenceOf(*opened); // 4166 microseconds would be 240 a second as well
    REQUIRE(evidence.size() == 1);
    CHECK(evidence.front().rate == 240);
    CHECK_THAT(evidence.front().note, Contains("com.android.capture.fps"));
}

TEST_CASE("a cine camera's key counts in thousandths, in MOV and remuxed to Matroska", "[media][tags]")
{
    const TempFolder folder;
    const auto path = film(folder, "cine.mov", [](footage::Spec& spec) {
        spec.storage.tags = {{"com.arri.camera.SensorFps", "119880"}};
        spec.storage.muxerOptions = {{"movflags", "use_metadata_tags"}};
    });
    const auto evidence = evidenceOf(*media::openFootage(path));
    REQUIRE(evidence.size() == 1);
    CHECK(evidence.front().rate == 119.88);

    const auto matroska = film(folder, "cine.mkv", [](footage::Spec& spec) {
        spec.storage.tags = {{"com.arri.camera.SensorFps", "24000/1001"}};
    });
    const auto remuxed = evidenceOf(*media::openFootage(matroska));
    REQUIRE(remuxed.size() == 1);
    CHECK(remuxed.front().exactRate == timing::FrameRate(24000, 1001));
}

TEST_CASE("user data and XMP are shown and never evidence", "[media][tags]")
{
    const TempFolder folder;
    const std::string xmp = "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF "
                            "xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\"><rdf:Description "
                            "xmlns:xmpDM=\"http://ns.adobe.com/xmp/1.0/DynamicMedia/\" "
                            "xmpDM:videoFrameRate=\"240.000000\"/></rdf:RDF></x:xmpmeta>";
    const auto path = film(folder, "a.mov");
    addToMovie(path, box("udta", userText("\xa9"
                                          "fmt",
                                          "High speed 480fps")
                                     + userText("\xa9nam", "pedal, first run") + userText("SRAT", "capture rate 480")
                                     + box("XMP_", xmp)));
    const auto opened = media::openFootage(path);
    const auto readings = media::tagReadings(*opened);
    CHECK(find(readings, "XMP videoFrameRate").says == Says::NoRate);
    CHECK(find(readings, "udta fmt").value == "High speed 480fps");
    CHECK(find(readings, "udta fmt").says == Says::NoRate);
    CHECK(find(readings, "udta SRAT").says == Says::NoRate);
    CHECK(std::ranges::find(readings, "udta nam", &timing::TagReading::key) == readings.end()); // nothing about rates
    CHECK(evidenceOf(*opened).empty());
    CHECK(opened->frameCount().value == 24);

    // As a box of its own, behind the film.
    const auto other = film(folder, "b.mov");
    append(other, box("uuid", "\xbe\x7a\xcf\xcb\x97\xa9\x42\xe8\x9c\x71\x99\x94\x91\xe3\xaf\xac" + xmp));
    CHECK(find(media::tagReadings(*media::openFootage(other)), "XMP videoFrameRate").value == "240.000000");
}

TEST_CASE("recorder XML in the film and beside it is evidence, its format rate is not", "[media][tags]")
{
    const TempFolder folder;
    const auto path = film(folder, "clip.mp4");
    append(path, xmlBox());
    write(folder / "clipM01.XML", xml);
    const auto opened = media::openFootage(path);
    const auto readings = media::tagReadings(*opened);
    CHECK(find(readings, "VideoFrame captureFps").evidence->rate == 959.04);
    CHECK(find(readings, "sidecar captureFps").evidence->rate == 959.04);
    CHECK(find(readings, "VideoFrame formatFps").says == Says::NoRate);
    CHECK(find(readings, "RecordingMode type").value == "slowAndQuickMotion");
    for (const timing::RateEvidence& rate : evidenceOf(*opened))
        CHECK(rate.rate == 959.04);
}

TEST_CASE("camera metadata in an MXF film gives its capture rate, and the film plays as before", "[media][tags]")
{
    const TempFolder folder;
    const auto path = film(folder, "a.mxf", [](footage::Spec& spec) {
        spec.storage.codec = "mpeg2video";
        spec.storage.codecOptions = {{"b", "2000000"}};
        spec.storage.playbackRate = {25, 1};
        spec.storage.timeBase = {1, 25};
    });
    const auto plain = media::openFootage(path);
    CHECK(evidenceOf(*plain).empty());
    CHECK(find(media::tagReadings(*plain), "container frame rate").value == "25");
    putIntoFill(path, cameraSet({{0x8101, big16(800)},
                                 {0x8106, rateItem(240000, 1001)},
                                 {0x8107, std::string(1, '\1')},
                                 {0x8108, big32(10800)}}));
    const auto opened = media::openFootage(path);
    REQUIRE(opened->frameCount() == plain->frameCount());
    for (std::size_t i = 0; i < plain->frames.size(); ++i)
        REQUIRE(opened->frames[i].hash == plain->frames[i].hash);
    const auto readings = media::tagReadings(*opened);
    CHECK(find(readings, "RDD 18 capture frame rate").evidence->exactRate == timing::FrameRate(240000, 1001));
    CHECK_THAT(find(readings, "RDD 18 shutter angle").value, Contains("180 degrees"));
    CHECK(find(readings, "RDD 18 readout mode").says == Says::NoRate);
    REQUIRE(evidenceOf(*opened).size() == 1);
}

TEST_CASE("Matroska and AVI tell how fast they play and nothing of the capture", "[media][tags]")
{
    const TempFolder folder;
    const auto avi = film(folder, "a.avi", [](footage::Spec& spec) {
        spec.storage.codec = "mjpeg";
        spec.storage.pixelFormat = "yuvj420p";
        spec.storage.quality = 4;
        spec.storage.bFrames = 0;
    });
    for (const auto& path : {film(folder, "a.mkv"), avi}) {
        const auto opened = media::openFootage(path);
        CHECK(find(media::tagReadings(*opened), "container frame rate").says == Says::NoRate);
        CHECK(evidenceOf(*opened).empty());
    }
}

TEST_CASE("tags that lie are told in a sentence and left alone", "[media][tags]")
{
    const TempFolder folder;
    const std::string lie = GENERATE("nan", "0", "-240", "1e9", "inf", "1/0", "240 fps", "9999999999999999999999");
    const auto path = film(folder, "lie.mov", [&](footage::Spec& spec) {
        spec.storage.tags = {{"com.android.capture.fps", lie}, {"com.arri.camera.SensorFps", std::string(50'000, '7')}};
        spec.storage.muxerOptions = {{"movflags", "use_metadata_tags"}};
    });
    const auto opened = media::openFootage(path);
    CHECK(evidenceOf(*opened).empty());
    const auto readings = media::tagReadings(*opened);
    for (const char* key : {"com.android.capture.fps", "com.arri.camera.SensorFps"}) {
        CHECK(find(readings, key).says == Says::Nothing);
        CHECK_THAT(find(readings, key).meaning, Contains("no rate of a camera"));
        CHECK(find(readings, key).value.size() < 200);
    }
}

TEST_CASE("metadata that contradicts itself is named and gives nothing", "[media][tags]")
{
    const TempFolder folder;
    const auto readingsOf = [&](const std::filesystem::path& path) {
        return media::tagReadings(*media::openFootage(path));
    };
    const auto huge = film(folder, "huge.mp4");
    addToMovie(huge,
               box("udta", box("smta", std::string(4, '\0') + big32(0x7fffffff) + "saut" + std::string(8, '\0'))));
    CHECK_THAT(find(readingsOf(huge), "damaged metadata").value, Contains("smta"));

    const auto text = film(folder, "text.mp4");
    addToMovie(text, box("udta", box("\xa9"
                                     "fps",
                                     big16(0xffff) + big16(0) + "240")));
    CHECK_THAT(find(readingsOf(text), "damaged metadata").value, Contains("udta"));

    const auto half = film(folder, "half.mp4");
    append(half, xmlBox("<NonRealTimeMeta><VideoFrame captureFps=\"0p\"/></Wrong>"));
    CHECK_THAT(find(readingsOf(half), "damaged metadata").value, Contains("XML in the file"));
    CHECK(find(readingsOf(half), "VideoFrame captureFps").says == Says::Nothing);

    const auto mxf = film(folder, "a.mxf", [](footage::Spec& spec) {
        spec.storage.codec = "mpeg2video";
        spec.storage.codecOptions = {{"b", "2000000"}};
        spec.storage.playbackRate = {25, 1};
        spec.storage.timeBase = {1, 25};
    });
    std::string set = cameraSet({{0x8106, rateItem(240, 1)}, {0x8101, "abcd"}});
    set[set.size() - 5] = '\x40'; // the last item claims more than the set holds
    putIntoFill(mxf, set);
    const auto readings = readingsOf(mxf);
    CHECK(find(readings, "damaged metadata").value == "RDD 18");
    CHECK(std::ranges::find(readings, "RDD 18 capture frame rate", &timing::TagReading::key) == readings.end());
}

TEST_CASE("sets of one film that state different rates state none", "[media][tags]")
{
    const TempFolder folder;
    write(folder / "a.mxf", "\x06\x0e\x2b\x34" + std::string(40, 'x') + cameraSet({{0x8106, rateItem(240, 1)}})
                                + cameraSet({{0x8106, rateItem(120, 1)}}));
    const auto reading = timing::readTags(media::rateTags(folder / "a.mxf"));
    REQUIRE(reading.size() == 1);
    CHECK(reading.front().says == Says::Nothing);
    CHECK(reading.front().value == "240/1, then 120/1");
}

TEST_CASE("slow-motion segments stand behind the film, in milliseconds with the power of two to slow by",
          "[media][tags]")
{
    const TempFolder folder;
    const auto path = film(folder, "a.mp4");
    CHECK(media::slowSegments(path).segments.empty());
    append(path, slowMotionTail("500:620:2*200:400:4*0:100:1"));
    const media::SlowSegments slow = media::slowSegments(path);
    CHECK_FALSE(slow.damaged);
    REQUIRE(slow.segments.size() == 2); // one plays at the usual speed
    CHECK(slow.segments[0] == timing::SlowedSegment{0.2, 0.4, 8});
    CHECK(slow.segments[1] == timing::SlowedSegment{0.5, 0.62, 2});
    const auto opened = media::openFootage(path);
    CHECK(opened->frameCount().value == 24);
    CHECK(find(media::tagReadings(*opened), "slow-motion segments").value
          == "200 to 400 ms 8 times slower; 500 to 620 ms 2 times slower");
    const auto pieces = media::capturePieces(*opened, media::stampPatternOf(*opened), {});
    REQUIRE(pieces.size() == 5); // frames 1/30 s apart: 6 to 11 lie within 200 to 400 ms, 15 to 18 within 500 to 620
    CHECK(pieces[1].first.value == 6);
    CHECK(pieces[1].last.value == 11);
    CHECK(pieces[1].divisor == 8);
    CHECK(pieces[3].first.value == 15);
    CHECK(pieces[3].last.value == 18);
    CHECK(pieces[4].divisor == 1);

    const std::string bad = GENERATE("200:100:4", "a:b:c", "1:2", "1:2:99", "-5:10:4", "1:99999999999:4",
                                     "100:300:4*200:400:4", "", "1:2:3:4");
    const auto broken = film(folder, "b.mp4");
    append(broken, slowMotionTail(bad));
    CHECK(media::slowSegments(broken).damaged);
    CHECK(media::slowSegments(broken).segments.empty());
    CHECK_THAT(find(media::tagReadings(*media::openFootage(broken)), "damaged metadata").value,
               Contains("slow-motion segments"));
}

TEST_CASE("a block behind the film is known by kind and name, and one that isn't known is no damage", "[media][tags]")
{
    const TempFolder folder;
    const auto path = film(folder, "a.mp4");
    SECTION("text that nothing public explains is told as not read")
    {
        append(path, slowMotionTail("997:13530:1197:1!1", "Super_SlowMotion_Data"));
        const auto readings = media::tagReadings(*media::openFootage(path));
        CHECK(find(readings, "Super_SlowMotion_Data").value == "997:13530:1197:1!1");
        CHECK_THAT(find(readings, "Super_SlowMotion_Data").meaning, Contains("isn't read"));
    }
    SECTION("music") { append(path, slowMotionTail("tune", "Super_SlowMotion_BGM")); }
    const media::SlowSegments slow = media::slowSegments(path);
    CHECK_FALSE(slow.damaged);
    CHECK(slow.segments.empty());
    CHECK(std::ranges::none_of(media::tagReadings(*media::openFootage(path)),
                               [](const auto& reading) { return reading.key == "damaged metadata"; }));
}

TEST_CASE("segments cut nothing where the stamps are capture times themselves", "[media][tags]")
{
    const TempFolder folder;
    const auto path = film(folder, "a.mp4", [](footage::Spec& spec) { spec.storage.playbackRate = {240, 1}; });
    append(path, slowMotionTail("25:50:4"));
    const auto opened = media::openFootage(path);
    CHECK(media::slowSegments(path).segments.size() == 1);
    CHECK(media::capturePieces(*opened, media::stampPatternOf(*opened), {}).empty());
}

TEST_CASE("tags from boxes and keys in capitals are evidence", "[media][tags]")
{
    const TempFolder folder;
    write(folder / "film.mp4", slowMotion(21, 960 << 16));
    media::Footage footage;
    footage.path = folder / "film.mp4";
    footage.container = "mov,mp4,m4a,3gp,3g2,mj2";
    footage.tags = {{"COM.ANDROID.CAPTURE.FPS", "240"},
                    {"com.apple.quicktime.camera.framereadouttimeinmicroseconds", "4166"}};
    const auto evidence = media::rateEvidence(footage, {});
    REQUIRE(evidence.size() == 2);
    CHECK(evidence[0].rate == 240);
    CHECK(evidence[1].rate == 960);
    CHECK_FALSE(timing::agree(evidence[0], evidence[1]));
}

TEST_CASE("broken boxes give nothing and never run on", "[media][tags]")
{
    const TempFolder folder;
    const std::string whole = slowMotion(21, 960 << 16) + xmlBox() + slowMotionTail("25:50:4*60:90:3");
    const std::string sets =
        "\x06\x0e\x2b\x34" + std::string(40, 'x') + cameraSet({{0x8001, "ab"}, {0x8106, rateItem(960000, 1001)}});
    std::mt19937 random(7);
    for (int i = 0; i < 600; ++i) {
        std::string bytes = i % 2 ? whole : sets;
        for (int k = 0; k < 1 + i % 5; ++k)
            bytes[random() % bytes.size()] = static_cast<char>(random());
        if (i % 3 == 0)
            bytes.resize(random() % bytes.size());
        write(folder / "film.mp4", bytes);
        const auto readings = timing::readTags(media::rateTags(folder / "film.mp4"));
        CHECK(readings.size() <= 8);
        for (const timing::TagReading& reading : readings)
            CHECK((!reading.evidence || (reading.evidence->rate > 0 && reading.evidence->rate <= 1e7)));
    }
    // Boxes of no size, one within another, and lengths beyond the file.
    for (const std::string& bytes :
         {brand + big32(1) + "moov" + std::string(8, '\xff'), brand + big32(0) + "moov" + big32(4) + "udta",
          brand + big32(7) + "moov", brand + std::string(100'000, '\0')}) {
        write(folder / "film.mp4", bytes);
        CHECK(media::rateTags(folder / "film.mp4").empty());
    }
}
