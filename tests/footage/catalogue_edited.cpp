// Kinds of file that no muxer at hand writes: films changed afterwards, byte by byte or packet by packet.
#include "tests/footage/catalogue_parts.h"
#include "tests/footage/edit.h"
#include "tests/footage/field_pictures.h"
#include "tests/footage/mpeg2_fields.h"
#include <algorithm>
#include <array>
#include <map>
#include <stdexcept>

namespace footage {
namespace {

namespace fs = std::filesystem;

Spec plainSpec(const std::string& codec, int bFrames, int frames = 36)
{
    Spec spec = patternSpec(frames);
    spec.storage.codec = codec;
    spec.storage.bFrames = bFrames;
    if (codec == "mjpeg") {
        spec.storage.pixelFormat = "yuvj420p";
        spec.storage.quality = 4;
    }
    return spec;
}

/// Film into folder/file, then `change` is done to it. Its stamps aren't promised any more.
Recipe edited(const std::string& name, const std::string& trap, const std::string& file, const Spec& spec,
              const std::function<void(const fs::path&)>& change)
{
    return {name, trap, [=](const fs::path& folder) {
                CatalogueFile result = film(spec, folder, file);
                change(result.path);
                result.stamps.clear();
                return result;
            }};
}

/// Film, its packets changed, in a container of its own.
Recipe repacked(const std::string& name, const std::string& trap, const std::string& source, const std::string& file,
                const Spec& spec, const std::function<void(std::vector<LoosePacket>&)>& change,
                const std::string& filter = {})
{
    return {name, trap, [=](const fs::path& folder) {
                CatalogueFile result = film(spec, folder, source);
                const fs::path from = result.path;
                std::vector<LoosePacket> packets = takePackets(from);
                change(packets);
                result.path = folder / file;
                putPackets(packets, from, result.path, filter);
                fs::remove(from);
                result.stamps.clear();
                return result;
            }};
}

/// The index of an AVI file: 16 bytes an entry, of which the last 8 are offset and size.
void lieInIndex(const fs::path& path)
{
    std::string bytes = readBytes(path);
    const std::size_t index = bytes.rfind("idx1");
    if (index == std::string::npos)
        throw std::runtime_error("footage: the film has no index to change");
    for (std::size_t entry = index + 8; entry + 16 <= bytes.size(); entry += 16)
        bytes[entry + 8] = static_cast<char>(bytes[entry + 8] + 6); // every offset is six bytes too large
    writeBytes(path, bytes);
}

/// Stamps in Matroska blocks run back by ten frames in the middle: block heads are track, 16-bit time, flags.
void turnBackStamps(const fs::path& path)
{
    constexpr int tickMs = 33, frames = 10;
    const std::vector<LoosePacket> packets = takePackets(path);
    std::string bytes = readBytes(path);
    std::size_t at = 0;
    for (std::size_t n = 0; n < packets.size(); ++n) {
        at = bytes.find(packets[n].bytes, at);
        if (at == std::string::npos || at < 4)
            throw std::runtime_error("footage: a block isn't where it should be");
        if (n >= packets.size() / 2) {
            const int time = static_cast<unsigned char>(bytes[at - 3]) << 8 | static_cast<unsigned char>(bytes[at - 2]);
            const int earlier = time - frames * tickMs;
            bytes[at - 3] = static_cast<char>(earlier >> 8);
            bytes[at - 2] = static_cast<char>(earlier & 255);
        }
        at += packets[n].bytes.size();
    }
    writeBytes(path, bytes);
}

/// Pictures that refer forward share a packet with what they refer to; the next packet says "nothing coded".
void packPairs(std::vector<LoosePacket>& packets)
{
    // A picture head of 16 bits: predicted; no whole second; marker; 5 bits of time; marker; not coded; stuffing.
    const std::string nothing{0, 0, 1, '\xb6', '\x50', '\x27'};
    const std::string mark =
        std::string{0, 0, 1, '\xb2'} + "DivX503b1393p"; // user data by which decoders know the habit
    std::size_t head = packets.front().bytes.find(std::string{0, 0, 1, '\xb6'});
    packets.front().bytes.insert(head == std::string::npos ? 0 : head, mark);
    for (std::size_t n = 1; n + 1 < packets.size(); ++n) {
        const std::string& next = packets[n + 1].bytes;
        const std::size_t picture = next.find(std::string{0, 0, 1, '\xb6'});
        const bool bidirectional =
            picture != std::string::npos && (static_cast<unsigned char>(next[picture + 4]) >> 6) == 2;
        if (!bidirectional)
            continue;
        packets[n].bytes += next;
        packets[n + 1].bytes = nothing;
        ++n;
    }
}

using FieldCoder = std::string(const std::vector<std::string>&, int width, int height, int group);

/// Field by field, two coded pictures a frame.
CatalogueFile fieldCoded(const fs::path& folder, const char* name, FieldCoder& code, int width, int height)
{
    constexpr int group = 6;
    Spec spec = patternSpec(24);
    spec.camera.width = width;
    spec.camera.height = height;
    spec.storage.codec = spec.storage.container = "rawvideo";
    spec.storage.bFrames = 0;
    CatalogueFile result = film(spec, folder, "raw.yuv");
    const std::string raw = readBytes(result.path);
    const auto size = static_cast<std::size_t>(width * height * 3 / 2);
    std::vector<std::string> pictures;
    for (std::size_t at = 0; at + size <= raw.size(); at += size)
        pictures.push_back(raw.substr(at, size));
    fs::remove(result.path);
    result.path = folder / name;
    writeBytes(result.path, code(pictures, width, height, group));
    result.stamps.clear();
    return result;
}

CatalogueFile h264Fields(const fs::path& folder) { return fieldCoded(folder, "fields.h264", fieldPictures, 320, 192); }

/// Large enough for the number in it to show in means of blocks.
CatalogueFile mpeg2Fields(const fs::path& folder)
{
    return fieldCoded(folder, "fields.m2v", mpeg2FieldPictures, 640, 576);
}

/// A bare stream of fields in the container that `file` names.
CatalogueFile contained(CatalogueFile bare, const char* file)
{
    const fs::path from = bare.path, to = from.parent_path() / file;
    if (to.extension() == ".mkv") {
        mkvmerge({"--default-duration", "0:30p"}, from, to);
    } else if (to.extension() == ".ts") {
        gstreamer(from,
                  from.extension() == ".m2v" ? "mpegvideoparse ! mpegtsmux"
                                             : "video/x-h264,framerate=30/1 ! h264parse ! mpegtsmux",
                  to);
    } else { // each field a sample of its own
        std::vector<LoosePacket> packets = takePackets(from);
        constexpr std::int64_t step = 20000; // of 1.2 MHz, libav's time base of bare streams: 60 fields a second
        for (std::size_t n = 0; n < packets.size(); ++n) {
            packets[n].pts = packets[n].dts = static_cast<std::int64_t>(n) * step;
            packets[n].duration = step;
        }
        putPackets(packets, from, to);
    }
    fs::remove(from);
    bare.path = to;
    return bare;
}

/// Packets of a transport stream are counted modulo 16 in each of its streams; after a join the count goes on.
void countOn(std::string& stream)
{
    constexpr std::size_t packet = 188;
    std::map<int, int> counts;
    for (std::size_t at = 0; at + packet <= stream.size(); at += packet) {
        const int id =
            (static_cast<unsigned char>(stream[at + 1]) & 0x1f) << 8 | static_cast<unsigned char>(stream[at + 2]);
        const bool carries = stream[at + 3] & 0x10;
        const auto count = counts.try_emplace(id, 15).first;
        count->second = (count->second + (carries ? 1 : 0)) % 16;
        stream[at + 3] = static_cast<char>((stream[at + 3] & 0xf0) | count->second);
    }
}

/// Flash video tags: kind, 24-bit size, 24-bit stamp and its upper 8 bits, 24 bits of nothing, contents, 32-bit length.
void startBelowZero(const fs::path& path)
{
    constexpr std::size_t fileHead = 13, tagHead = 11;
    constexpr std::uint32_t earlierMs = 501;
    std::string bytes = readBytes(path);
    const auto byte = [&](std::size_t at) { return static_cast<std::uint32_t>(static_cast<unsigned char>(bytes[at])); };
    for (std::size_t at = fileHead; at + tagHead < bytes.size();) {
        const std::uint32_t size = byte(at + 1) << 16 | byte(at + 2) << 8 | byte(at + 3);
        const std::uint32_t stamp =
            (byte(at + 7) << 24 | byte(at + 4) << 16 | byte(at + 5) << 8 | byte(at + 6)) - earlierMs;
        for (const auto& [place, shift] : {std::pair{7, 24}, {4, 16}, {5, 8}, {6, 0}})
            bytes[at + static_cast<std::size_t>(place)] = static_cast<char>(stamp >> shift);
        at += tagHead + size + 4;
    }
    writeBytes(path, bytes);
}

/// Two films one after the other in one bare stream.
CatalogueFile joined(const fs::path& folder, const std::string& file, Spec spec,
                     const std::function<void(Spec&)>& change)
{
    CatalogueFile result = film(spec, folder, file);
    change(spec);
    const CatalogueFile second = film(spec, folder, "second_" + file);
    std::string bytes = readBytes(result.path) + readBytes(second.path);
    if (file.ends_with(".ts"))
        countOn(bytes);
    writeBytes(result.path, bytes);
    fs::remove(second.path);
    result.barcodes.insert(result.barcodes.end(), second.barcodes.begin(), second.barcodes.end());
    result.stamps.clear();
    return result;
}

void addStampEdits(std::vector<Recipe>& recipes)
{
    recipes.push_back(repacked(
        "h264_missing_stamps_ts", "every fourth picture has no stamp", "source.mp4", "a.ts", plainSpec("libx264", 0),
        [](std::vector<LoosePacket>& packets) {
            for (std::size_t n = 3; n < packets.size(); n += 4)
                packets[n].pts = packets[n].dts = noStamp;
        },
        "h264_mp4toannexb"));
    recipes.push_back(repacked("h264_equal_stamps_mkv", "pairs of pictures with one stamp, reordered", "source.mp4",
                               "a.mkv", plainSpec("libx264", 3), [](std::vector<LoosePacket>& packets) {
                                   const std::int64_t step = 2 * 3000; // of 90 kHz at 30 a second
                                   for (LoosePacket& packet : packets) {
                                       packet.pts -= (packet.pts % step + step) % step;
                                       packet.dts -= (packet.dts % step + step) % step;
                                   }
                               }));
    recipes.push_back(edited("mjpeg_backward_stamps_mkv", "stamps go back in the middle", "a.mkv",
                             plainSpec("mjpeg", 0), turnBackStamps));
    recipes.push_back(edited("h264_backward_stamps_mkv", "stamps go back in the middle of reordered pictures", "a.mkv",
                             plainSpec("libx264", 3), turnBackStamps));
    recipes.push_back(edited("h264_negative_start_flv", "stamps below zero, -1 tick among them", "a.flv",
                             plainSpec("libx264", 3), startBelowZero));
    recipes.push_back({"h264_joined_ts", "two films in a row: stamps start again", [](const fs::path& folder) {
                           return joined(folder, "a.ts", plainSpec("libx264", 3, 24),
                                         [](Spec& spec) { spec.seed = 2; });
                       }});
}

void addIndexEdits(std::vector<Recipe>& recipes)
{
    const auto noIndex = [](const fs::path& path) { renameBoxes(path, "idx1", "JUNK"); };
    recipes.push_back(edited("mjpeg_avi_no_index", "no index at the end", "a.avi", plainSpec("mjpeg", 0), noIndex));
    recipes.push_back(
        edited("h264_avi_no_index", "no index, no stamps, reordered", "a.avi", plainSpec("libx264", 3), noIndex));
    recipes.push_back(edited("mjpeg_avi_lying_index", "an index that points beside the pictures", "a.avi",
                             plainSpec("mjpeg", 0), lieInIndex));
    recipes.push_back(edited("mpeg4_avi_lying_index", "an index that points beside the pictures", "a.avi",
                             plainSpec("mpeg4", 0), lieInIndex));
    recipes.push_back(edited("h264_mp4_no_sync_table", "every sample counts as a key", "a.mp4", plainSpec("libx264", 3),
                             [](const fs::path& path) { renameBoxes(path, "stss", "free"); }));
    recipes.push_back(edited("mpeg4_mp4_no_sync_table", "every sample counts as a key", "a.mp4", plainSpec("mpeg4", 2),
                             [](const fs::path& path) { renameBoxes(path, "stss", "free"); }));
}

void addStreamEdits(std::vector<Recipe>& recipes)
{
    recipes.push_back(repacked("mpeg4_packed_avi", "two pictures in a packet, then an empty one", "source.avi", "a.avi",
                               plainSpec("mpeg4", 1), packPairs));
    recipes.push_back({"h264_fields_bare", "field pictures: two packets a frame, no stamps", h264Fields});
    recipes.push_back({"mpeg2_fields_bare", "field pictures: two pictures a frame, no stamps", mpeg2Fields});
    struct Container {
        const char* name;
        const char* trap;
        CatalogueFile (*fields)(const fs::path& folder);
        const char* file;
    };
    for (const Container& in :
         {Container{"mpeg2_fields_ts", "field pictures in a transport stream", mpeg2Fields, "a.ts"},
          {"mpeg2_fields_mkv", "field pictures in Matroska", mpeg2Fields, "a.mkv"},
          {"h264_fields_ts", "field pictures in a transport stream", h264Fields, "a.ts"},
          {"h264_fields_mkv", "field pictures in Matroska", h264Fields, "a.mkv"},
          {"h264_fields_mp4", "field pictures, each a sample of its own", h264Fields, "a.mp4"}})
        recipes.push_back(
            {in.name, in.trap, [in](const fs::path& folder) { return contained(in.fields(folder), in.file); }});
    recipes.push_back(
        {"h264_size_change_ts", "pictures change size in the middle, stamps start again", [](const fs::path& folder) {
             return joined(folder, "a.ts", plainSpec("libx264", 3, 24), [](Spec& spec) {
                 spec.camera.width = 480;
                 spec.camera.height = 270;
             });
         }});
    recipes.push_back({"h264_format_change_bare", "4:2:0 becomes 4:2:2 in the middle", [](const fs::path& folder) {
                           return joined(folder, "a.h264", plainSpec("libx264", 3, 24),
                                         [](Spec& spec) { spec.storage.pixelFormat = "yuv422p"; });
                       }});
    recipes.push_back({"mjpeg_format_change_bare", "4:2:0 becomes 4:4:4 in the middle", [](const fs::path& folder) {
                           return joined(folder, "a.mjpeg", plainSpec("mjpeg", 0, 16),
                                         [](Spec& spec) { spec.storage.pixelFormat = "yuvj444p"; });
                       }});
}

} // namespace

void addEditedRecipes(std::vector<Recipe>& recipes)
{
    addStampEdits(recipes);
    addIndexEdits(recipes);
    addStreamEdits(recipes);
}

} // namespace footage
