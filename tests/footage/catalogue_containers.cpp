// Kinds of file whose trap lies in the container: stamps, edits, order of streams, breaking off, folders of pictures.
#include "tests/footage/catalogue_parts.h"
#include "tests/footage/edit.h"
#include <algorithm>
#include <array>
#include <cstdio>
#include <stdexcept>

namespace footage {
namespace {

namespace fs = std::filesystem;

using Change = std::function<void(Spec&)>;

/// Film that breaks off: right before packet `lost` of the file, or in the middle of it.
CatalogueFile brokenOff(Spec spec, const fs::path& folder, const std::string& file, bool withinPacket)
{
    if (file.ends_with(".mp4"))
        spec.storage.muxerOptions = {{"movflags", "faststart"}};
    CatalogueFile result = film(spec, folder, file);
    const auto packets = takePackets(result.path);
    const std::size_t lost = packets.size() * 2 / 3;
    const std::int64_t begin = packets[lost].position, end = packets[lost + 1].position;
    fs::resize_file(result.path, static_cast<std::uintmax_t>(withinPacket ? begin + (end - begin) * 2 / 3 : begin));

    // Frame numbers of the packets that are left, by presentation order of the whole film.
    std::vector<std::int64_t> order;
    for (const LoosePacket& packet : packets)
        order.push_back(packet.pts);
    std::sort(order.begin(), order.end());
    std::vector<int> barcodes;
    std::vector<double> stamps;
    std::vector<std::int64_t> left;
    for (std::size_t i = 0; i < lost; ++i)
        left.push_back(std::lower_bound(order.begin(), order.end(), packets[i].pts) - order.begin());
    std::sort(left.begin(), left.end());
    for (const std::int64_t number : left) {
        barcodes.push_back(result.barcodes[number]);
        stamps.push_back(result.stamps[number]);
    }
    result.barcodes = std::move(barcodes);
    result.stamps = std::move(stamps);
    result.damagedTail = withinPacket ? 1 : 0;
    return result;
}

/// Two edits of 20 frames each, from these media frames on.
/// libav's muxer writes an empty edit and a plain one for a film that starts late; both are overwritten in place.
CatalogueFile twoEdits(const fs::path& folder, const std::array<int, 2>& firstShown, int gop)
{
    Spec spec = patternSpec(50);
    spec.storage.gop = gop;
    spec.storage.bFrames = 0;
    spec.storage.timeBase = {1, 30000};
    spec.storage.start = 1;
    CatalogueFile result = film(spec, folder, "a.mp4");
    std::string bytes = readBytes(result.path);
    const std::size_t box = bytes.find("elst");
    // Version 0: flags, count, then (duration in ticks of the movie, first shown media tick, rate) for each edit.
    constexpr std::uint32_t movieTicks = 1000, frameTicks = 1000, rate = 30;
    if (box == std::string::npos || bytes[box + 4] != 0 || bytes[box + 11] != 2)
        throw std::runtime_error("footage: the film has no list of two edits to overwrite");
    result.barcodes.clear();
    for (std::size_t edit = 0; edit < 2; ++edit) {
        put32(bytes, box + 12 + 12 * edit, 20 * movieTicks / rate);
        put32(bytes, box + 16 + 12 * edit, static_cast<std::uint32_t>(firstShown[edit]) * frameTicks);
        for (int i = 0; i < 20; ++i)
            result.barcodes.push_back(firstShown[edit] + i);
    }
    writeBytes(result.path, bytes);
    result.stamps.clear();
    return result;
}

/// Frames 10 to 29, half a second of nothing (where libavformat 5.1 shows frames 0 to 14), frames 30 to 49, by a list
/// of three edits put in the place of one.
CatalogueFile emptyEditWithin(const fs::path& folder)
{
    Spec spec = patternSpec(50);
    spec.storage.gop = 1;
    spec.storage.bFrames = 0;
    spec.storage.timeBase = {1, 30000};
    CatalogueFile result = film(spec, folder, "a.mp4");
    std::string bytes = readBytes(result.path);
    const std::size_t list = bytes.find("elst");
    constexpr std::uint32_t entryBytes = 12, movieTicks = 1000, frameTicks = 1000, rate = 30;
    if (list == std::string::npos || bytes[list + 4] != 0 || bytes[list + 11] != 1 || bytes.find("mdat") > list)
        throw std::runtime_error("footage: the film has no list of one edit behind its pictures");
    const auto entry = [](std::uint32_t duration, std::uint32_t first) {
        std::string text(entryBytes, '\0');
        put32(text, 0, duration);
        put32(text, 4, first);
        text[9] = 1; // rate 1.0
        return text;
    };
    bytes.replace(list + 12, entryBytes,
                  entry(20 * movieTicks / rate, 10 * frameTicks) + entry(movieTicks / 2, 0xffffffff)
                      + entry(20 * movieTicks / rate, 30 * frameTicks));
    bytes[list + 11] = 3;
    for (const char* outer : {"moov", "trak", "edts", "elst"}) {
        const std::size_t at = bytes.rfind(outer, list) - 4;
        std::uint32_t size = 0;
        for (std::size_t i = 0; i < 4; ++i)
            size = size << 8 | static_cast<unsigned char>(bytes[at + i]);
        put32(bytes, at, size + 2 * entryBytes);
    }
    writeBytes(result.path, bytes);
    result.barcodes.clear();
    for (int n = 10; n < 50; ++n) {
        for (int again = 0; n == 30 && again < 15; ++again)
            result.barcodes.push_back(again);
        result.barcodes.push_back(n);
    }
    result.stamps.clear();
    return result;
}

/// Pictures whose numbers aren't padded, so that the order of names isn't the order of numbers.
CatalogueFile unpaddedNames(const fs::path& folder)
{
    Spec spec = patternSpec(14);
    spec.storage.container = spec.storage.codec = "png";
    spec.storage.pixelFormat = "gray";
    CatalogueFile result = film(spec, folder, "pictures");
    result.stamps.clear();
    for (const int number : result.barcodes) {
        char padded[32];
        std::snprintf(padded, sizeof padded, "frame_%06d.png", number);
        fs::rename(result.path / padded, result.path / ("shot" + std::to_string(number + 1) + ".png"));
    }
    return result;
}

Recipe pictures(const std::string& kind, const std::string& codec, const std::string& pixels,
                const std::string& extension)
{
    return {"pictures_" + kind, "folder of numbered pictures with holes in the numbering", [=](const fs::path& folder) {
                Spec spec = patternSpec(24);
                spec.storage.container = extension;
                spec.storage.codec = codec;
                spec.storage.pixelFormat = pixels;
                spec.storage.quality = 4;
                spec.storage.bFrames = 0;
                spec.storage.gop = 1;
                spec.camera.missing = {5, 11, 12, 13};
                CatalogueFile result = film(spec, folder, "pictures");
                result.stamps.clear(); // pictures have none
                return result;
            }};
}

void addStampRecipes(const std::function<void(const char*, const char*, const char*, const Change&)>& add)
{
    add("h264_avi", "B-frames in a container without presentation stamps", "a.avi", [](Spec&) {});
    add("h264_bare", "bare stream: no stamps, no index", "a.h264", [](Spec&) {});
    add("h264_ts_far_start", "first stamp 26 hours in", "a.ts", [](Spec& spec) { spec.storage.start = 95000; });
    add("h264_ts_wrap", "33-bit stamps start again from 0 in the middle", "a.ts",
        [](Spec& spec) { spec.storage.start = 95442.7; }); // they wrap at 2^33 / 90000 = 95443.7 s
    for (const int rate : {960, 1200}) {
        const std::string name = "h264_mkv_ms_" + std::to_string(rate);
        add(name.c_str(),
            rate == 960 ? "millisecond stamps at 960 frames a second: uneven steps"
                        : "millisecond stamps at 1200 frames a second: some repeat",
            "a.mkv", [=](Spec& spec) {
                spec.camera.nominalRate = spec.storage.playbackRate = {rate, 1};
                spec.camera.frames = 120;
            });
    }
    add("h264_90khz_960", "a step of 93.75 ticks", "a.mp4", [](Spec& spec) {
        spec.camera.nominalRate = spec.storage.playbackRate = {960, 1};
    });
    const Change uneven = [](Spec& spec) {
        spec.camera.nominalRate = {240, 1};
        spec.camera.timeJitter = 0.0004;
        spec.camera.missing = {17, 18, 40};
        spec.storage.stamps = StampKind::RealTime;
    };
    add("h264_vfr_mp4", "real-time stamps: jitter and lost pictures", "a.mp4", uneven);
    add("h264_vfr_mkv", "real-time stamps in milliseconds: jitter and lost pictures", "a.mkv", uneven);
    add("h264_repeats_mp4", "every fourth picture is the one before again", "a.mp4", [](Spec& spec) {
        for (int k = 3; k < spec.camera.frames; k += 4)
            spec.camera.repeated.push_back(k);
    });
}

void addEditRecipes(const std::function<void(const char*, const char*, const char*, const Change&)>& add)
{
    add("h264_edit_list_mp4", "an edit list hides seven leading frames, the only key picture among them", "a.mp4",
        [](Spec& spec) {
            spec.storage.hiddenFrames = 7;
            spec.storage.gop = 250;
        });
    add("h264_edit_list_b_mov", "an edit list begins between a B-frame and its references", "a.mov", [](Spec& spec) {
        spec.storage.hiddenFrames = 14;
        spec.storage.codecParams = "b-adapt=0";
    });
    add("h264_late_start_mp4", "an empty edit delays the first frame", "a.mp4",
        [](Spec& spec) { spec.storage.start = 0.5; });
    add("h264_fragmented_mp4", "no counts in the header", "a.mp4", [](Spec& spec) {
        spec.storage.muxerOptions = {{"movflags", "frag_keyframe+empty_moov+default_base_moof"}};
    });
    add("h264_rotated_90_mp4", "to be turned by 90 degrees", "a.mp4", [](Spec& spec) { spec.storage.rotation = 90; });
    add("h264_rotated_180_mov", "to be turned by 180 degrees", "a.mov",
        [](Spec& spec) { spec.storage.rotation = 180; });
    add("h264_rotated_270_mp4", "to be turned by 270 degrees", "a.mp4",
        [](Spec& spec) { spec.storage.rotation = 270; });
    add("h264_pixel_aspect_mp4", "pixels wider than high", "a.mp4", [](Spec& spec) {
        spec.storage.pixelAspect = {4, 3};
    });
    add("h264_full_range_mp4", "0 is black and 255 white", "a.mp4", [](Spec& spec) { spec.storage.fullRange = true; });
    add("h264_bt601_mp4", "the older colour matrix", "a.mp4", [](Spec& spec) { spec.storage.matrix = Matrix::Bt601; });
    add("h264_bt601_full_mkv", "the older colour matrix, full range", "a.mkv", [](Spec& spec) {
        spec.storage.matrix = Matrix::Bt601;
        spec.storage.fullRange = true;
    });
    for (const char* file : {"a.mp4", "a.mkv", "a.ts"}) {
        const std::string name = std::string("h264_audio_first_") + (file + 2);
        add(name.c_str(), "the pictures are stream 1", file, [](Spec& spec) { spec.storage.audioFirst = true; });
    }
    add("h264_capture_tag_mp4", "the capture rate is told by a tag only", "a.mp4", [](Spec& spec) {
        spec.storage.tags = {{"com.android.capture.fps", "960.000000"}};
        spec.storage.muxerOptions = {{"movflags", "use_metadata_tags"}};
    });
}

} // namespace

void addContainerRecipes(std::vector<Recipe>& recipes)
{
    const auto add = [&](const char* name, const char* trap, const char* file, const Change& change) {
        recipes.push_back({name, trap, [=, fileName = std::string(file)](const fs::path& folder) {
                               Spec spec = patternSpec();
                               change(spec);
                               CatalogueFile result = film(spec, folder, fileName);
                               if (fileName.ends_with(".avi") || fileName.ends_with(".h264"))
                                   result.stamps.clear();
                               return result;
                           }});
    };
    addStampRecipes(add);
    addEditRecipes(add);
    recipes.push_back(
        {"h264_two_edits_mp4", "two edits that overlap: frames are shown twice", [](const fs::path& folder) {
             return twoEdits(folder, {10, 20}, 1);
         }});
    recipes.push_back({"h264_empty_edit_within_mp4", "an edit that shows nothing between two others", emptyEditWithin});
    recipes.push_back({"h264_edits_in_group_mp4",
                       "two edits that begin within groups: hidden pictures to build on before each",
                       [](const fs::path& folder) {
                           return twoEdits(folder, {7, 29}, 12);
                       }});

    for (const char* container : {"mp4", "mkv", "ts"}) {
        const std::string file = std::string("a.") + container;
        recipes.push_back({std::string("h264_cut_between_") + container, "breaks off between two pictures",
                           [=](const fs::path& folder) { return brokenOff(patternSpec(90), folder, file, false); }});
        recipes.push_back(
            {std::string("h264_cut_within_") + container, "breaks off within a picture", [=](const fs::path& folder) {
                 Spec spec = patternSpec(90);
                 spec.storage.bFrames = 0; // so that the damaged picture is the last one shown
                 return brokenOff(spec, folder, file, true);
             }});
    }

    recipes.push_back(pictures("png_rgb", "png", "rgb24", "png"));
    recipes.push_back(pictures("png_gray", "png", "gray", "png"));
    recipes.push_back(pictures("png_gray16", "png", "gray16be", "png"));
    recipes.push_back(pictures("png_rgb48", "png", "rgb48be", "png"));
    recipes.push_back(pictures("tiff_rgb", "tiff", "rgb24", "tiff"));
    recipes.push_back(pictures("tiff_gray16", "tiff", "gray16le", "tif"));
    recipes.push_back(pictures("jpeg", "mjpeg", "yuvj420p", "jpg"));
    recipes.push_back({"pictures_unpadded", "\"shot10\" comes after \"shot9\"", unpaddedNames});
}

} // namespace footage
