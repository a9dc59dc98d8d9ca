#include "core/error.h"
#include "core/media/libav/av_handles.h"
#include "core/media/index/empty_edits.h"
#include "core/media/index/index_format.h"
#include "core/media/index/packet_table.h"
#include "core/media/index/picture_folder.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/picture/byte_hash.h"
#include "core/media/tags/rate_tags.h"
#include "core/media/tags/slow_segments.h"
#include "core/media/tags/tag_bytes.h"
#include "core/timing/stamp_pieces.h"
#include "tests/fuzz/target.h"
#include "tests/tag_boxes.h"

namespace fuzz {
namespace {

namespace fs = std::filesystem;
using namespace tag_boxes;

/// A confirmed index of four frames with something of everything.
media::Footage smallFootage()
{
    media::Footage footage;
    footage.confirmed = true;
    footage.container = "mov";
    footage.codec = "mjpeg";
    footage.pixelFormat = "yuvj420p";
    footage.size = {96, 54};
    footage.pixelAspect = timing::Rational(1, 1);
    footage.timeBase = timing::Rational(1, 1000);
    footage.averageRate = timing::Rational(240, 1);
    footage.streams.push_back({0, "mjpeg", {96, 54}, timing::Rational(1, 60), true, true});
    auto packets = std::make_shared<media::PacketTable>();
    for (int i = 0; i < 4; ++i) {
        packets->marks.push_back({40 + 100 * i, i, i, 100, 1});
        footage.frames.push_back({i, timing::Rational(i, 240), true, 77u + static_cast<std::uint64_t>(i)});
    }
    footage.packets = packets;
    footage.numberingHoles.push_back({{2}, 3});
    footage.doubts.push_back({{1}, {2}, "its file is damaged"});
    footage.formatChanges.push_back({{3}, {48, 27}, "gray"});
    footage.tags = {{"make", "R. One"}, {"com.apple.quicktime.camera.framereadouttimeinmicroseconds", "9000"}};
    footage.fault = "one is damaged";
    return footage;
}

constexpr std::uint64_t fingerprint = 0x0123456789abcdef;
constexpr std::size_t checksumBytes = 8;

std::string littleEndian(std::uint64_t value)
{
    std::string text;
    for (int shift = 0; shift < 64; shift += 8)
        text += static_cast<char>(value >> shift);
    return text;
}

/// The head of an index up to what is about the footage: magic, versions, fingerprint.
const std::string& indexHead()
{
    static const std::string head = [] {
        const std::string whole = media::writeIndex(smallFootage(), fingerprint), mark = littleEndian(fingerprint);
        return whole.substr(0, whole.find(mark) + mark.size());
    }();
    return head;
}

/// The input is what stands between head and checksum; these are put right, else nothing would get past them.
void readIndex(const std::string& input)
{
    std::string bytes = indexHead() + input;
    media::ByteHash hash;
    hash.add(bytes.data(), bytes.size());
    bytes += littleEndian(hash.result());
    const auto footage = media::readIndex(bytes, fingerprint);
    if (!footage)
        return;
    require(media::readIndex(media::writeIndex(*footage, fingerprint), fingerprint) != nullptr,
            "an index written can't be read");
    const timing::StampPattern pattern = media::stampPatternOf(*footage);
    media::missingFramesOf(*footage, pattern);
    media::rateEvidence(*footage, pattern);
    timing::stampPieces(media::stampsOf(*footage), footage->timeBase);
}

std::vector<std::string> indexSeeds()
{
    const std::string whole = media::writeIndex(smallFootage(), fingerprint);
    const std::size_t head = indexHead().size();
    return {whole.substr(head, whole.size() - head - checksumBytes)};
}

void readBoxes(const std::string& input)
{
    const fs::path path = scratchFile("film.mov", input);
    media::rateTags(path);
    media::slowSegments(path).words();
    media::Footage footage = smallFootage();
    footage.path = path;
    media::doubtEmptyEdits(footage, media::emptyEditsWithin(path, 1));
    media::tagReadings(footage);
    media::capturePieces(footage, media::stampPatternOf(footage), {});
}

std::vector<std::string> boxSeeds()
{
    const std::string fileType = box("ftyp", "qt  " + big32(0));
    const std::string head = box("mvhd", std::string(12, '\0') + big32(1000) + std::string(84, '\0'));
    const std::string trackHead = box("tkhd", std::string(12, '\0') + big32(1) + std::string(68, '\0'));
    const std::string edits =
        box("edts", box("elst", big32(0) + big32(3) + big32(5) + big32(0) + big32(0x10000) + big32(7)
                                    + big32(0xffffffff) + big32(0x10000) + big32(9) + big32(5) + big32(0x10000)));
    const std::string track = box("trak", trackHead + edits + box("udta", slowMotionBox(12)));
    const std::string user = box("udta", slowMotionBox(21, 960 << 16)
                                             + userText("\xa9"
                                                        "fps",
                                                        "240"));
    const std::string xmp = "<x:xmpmeta xmlns:x='adobe:ns:meta/'><videoFrameRate>240</videoFrameRate></x:xmpmeta>";
    const std::string xmpId("\xbe\x7a\xcf\xcb\x97\xa9\x42\xe8\x9c\x71\x99\x94\x91\xe3\xaf\xac", 16);
    return {fileType + box("moov", head + track + user),
            fileType + box("uuid", xmpId + xmp) + box("moov", head) + box("mdat", "pictures"),
            fileType + box("moov", head) + slowMotionTail("1500:2300:4*2500:2600:3"),
            fileType
                + box("meta", std::string(4, '\0') + box("xml ", "<VideoFrame captureFps='240p' formatFps='30p'/>"))};
}

void readXml(const std::string& input)
{
    media::Tags tags;
    media::readXmp(input, tags);
    media::readRecorderXml(input, "VideoFrame ", tags);
    timing::readTags(tags);
}

std::vector<std::string> xmlSeeds()
{
    return {"<x:xmpmeta xmlns:x='adobe:ns:meta/'><a videoFrameRate='240'/><videoFrameRate>959.04</videoFrameRate>"
            "</x:xmpmeta>",
            "<?xml version=\"1.0\"?><NonRealTimeMeta><VideoFormat><VideoFrame captureFps=\"239.76p\" "
            "formatFps=\"29.97p\"/></VideoFormat><RecordingMode type=\"normal\"/></NonRealTimeMeta>"};
}

void readSets(const std::string& input)
{
    media::Tags tags;
    media::readMxfCameraMetadata(scratchFile("film.mxf", input), tags);
    timing::readTags(tags);
}

std::vector<std::string> setSeeds()
{
    return {std::string("\x06\x0e\x2b\x34", 4)
            + cameraSet({{0x8106, big32(240'000) + big32(1'001)}, {0x8108, big32(10'800)}, {0x8107, "\x01"}})
            + cameraSet({{0x8106, big32(60) + big32(1)}})};
}

/// The input is up to six files, each as its name's length, name, two bytes of its length, contents.
void readPictures(const std::string& input)
{
    const fs::path folder = scratch() / "pictures";
    fs::remove_all(folder);
    fs::create_directory(folder);
    std::size_t at = 0;
    const auto take = [&](std::size_t count) {
        const std::string taken = at < input.size() ? input.substr(at, count) : std::string();
        at += count;
        return taken;
    };
    const auto number = [&](std::size_t bytes) {
        std::size_t value = 0;
        for (const char each : take(bytes))
            value = value << 8 | static_cast<unsigned char>(each);
        return value;
    };
    for (int file = 0; file < 6 && at < input.size(); ++file) {
        const std::string name = take(number(1) % 64);
        const std::string contents = take(number(2));
        if (!name.empty() && name != "." && name != ".." && name.find('/') == std::string::npos
            && name.find('\0') == std::string::npos)
            scratchFile(("pictures/" + name).c_str(), contents);
    }
    try {
        media::scanFolder(folder);
        media::indexFolder(folder, {}, {});
    } catch (const core::Error&) {
    }
}

std::vector<std::string> pictureSeeds()
{
    // A picture of one grey dot: signature, IHDR, IDAT, IEND (PNG specification, 5 and 11).
    const std::string dot("\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\1\0\0\0\1\x08\0\0\0\0\x3a\x7e\x9b\x55"
                          "\0\0\0\nIDAT\x78\x9c\x63\x68\0\0\0\x82\0\x81\x77\xcd\x72\xb6\0\0\0\0IEND\xae\x42\x60\x82",
                          67);
    const auto file = [](const std::string& name, const std::string& contents) {
        return std::string(1, static_cast<char>(name.size())) + name + static_cast<char>(contents.size() >> 8)
               + static_cast<char>(contents.size()) + contents;
    };
    return {file("take_001.png", dot) + file("take_002.png", dot) + file("take_004.png", dot),
            file("a1.png", dot) + file("b1.png", dot), file("7.tif", "II*" + std::string(20, '\0'))};
}

} // namespace

std::vector<Target> mediaTargets()
{
    return {{"index-cache", readIndex, indexSeeds, nullptr},
            {"boxes", readBoxes, boxSeeds, nullptr},
            {"xmp", readXml, xmlSeeds, nullptr},
            {"rdd18", readSets, setSeeds, nullptr},
            {"pictures", readPictures, pictureSeeds, nullptr}};
}

} // namespace fuzz
