// Kinds of file whose trap lies in the coded stream.
#include "tests/footage/catalogue_parts.h"
#include "tests/footage/remux.h"
#include <algorithm>
#include <fstream>
#include <stdexcept>

namespace footage {
namespace {

namespace fs = std::filesystem;

using Change = std::function<void(Spec&)>;

/// Recipe for a pattern film that differs from the plain one by `change`.
Recipe plain(const std::string& name, const std::string& trap, const std::string& file, const Change& change)
{
    return {name, trap, [=](const fs::path& folder) {
                Spec spec = patternSpec();
                change(spec);
                return film(spec, folder, file);
            }};
}

Change codec(const std::string& name, const std::string& pixels)
{
    return [=](Spec& spec) {
        spec.storage.codec = name;
        spec.storage.pixelFormat = pixels;
    };
}

void hevc(Spec& spec)
{
    spec.storage.codec = "libx265";
    spec.storage.pixelFormat = "yuv420p10le";
    spec.storage.preset = "ultrafast";
    spec.storage.codecParams = "b-adapt=0";
}

/// Film without its first group: it begins with a key picture whose leading pictures refer to what isn't there.
CatalogueFile openStart(const Spec& spec, const fs::path& folder, const std::string& file)
{
    const fs::path whole = folder / ("whole_" + file);
    CatalogueFile result = film(spec, folder, whole.filename().string());
    const auto packets = listPackets(whole);
    std::size_t second = 1;
    while (second < packets.size() && !packets[second].key)
        ++second;
    if (second == packets.size())
        throw std::runtime_error("footage: the film to be cut has one group only");
    result.path = folder / file;
    remux(whole, result.path, [&](std::size_t place) { return place >= second; });
    fs::remove(whole);
    // What lies before the key picture in presentation order can't be decoded; frames are numbered in that order.
    const auto before = std::count_if(packets.begin(), packets.end(),
                                      [&](const StoredPacket& p) { return p.pts < packets[second].pts; });
    result.barcodes.erase(result.barcodes.begin(), result.barcodes.begin() + before);
    result.stamps.clear(); // the new container moves them
    return result;
}

Recipe openStartRecipe(const std::string& name, const std::string& trap, const std::string& file, const Change& change)
{
    return {name, trap, [=](const fs::path& folder) {
                Spec spec = patternSpec();
                spec.storage.openGop = true;
                change(spec);
                return openStart(spec, folder, file);
            }};
}

/// Two bare streams of different picture size, one after the other.
CatalogueFile sizeChange(const fs::path& folder)
{
    Spec spec = patternSpec(24);
    CatalogueFile result = film(spec, folder, "size_change.h264");
    spec.camera.width = 480;
    spec.camera.height = 270;
    const CatalogueFile second = film(spec, folder, "second.h264");
    std::ofstream joined(result.path, std::ios::binary | std::ios::app);
    joined << std::ifstream(second.path, std::ios::binary).rdbuf();
    if (!joined.flush())
        throw std::runtime_error("footage: can't write " + result.path.string());
    fs::remove(second.path);
    result.barcodes.insert(result.barcodes.end(), second.barcodes.begin(), second.barcodes.end());
    result.stamps.clear();
    return result;
}

} // namespace

void addCodecRecipes(std::vector<Recipe>& recipes)
{
    const auto always = [](Spec& spec) { spec.storage.codecParams = "b-adapt=0"; };
    const auto add = [&](const char* name, const char* trap, const char* file, const Change& change) {
        recipes.push_back(plain(name, trap, file, change));
    };

    add("h264_b_pyramid_mp4", "pictures leave the decoder in another order than they are stored", "a.mp4", always);
    add("h264_long_gop_mp4", "one key picture for 300 frames", "a.mp4", [=](Spec& spec) {
        always(spec);
        spec.camera.frames = 300;
        spec.storage.gop = 300;
    });
    for (const char* container : {"mp4", "mkv"})
        recipes.push_back(plain(std::string("h264_open_gop_") + container, "leading pictures refer to the group before",
                                std::string("a.") + container, [=](Spec& spec) {
                                    always(spec);
                                    spec.storage.openGop = true;
                                }));
    recipes.push_back(openStartRecipe("h264_open_start_mkv", "begins in an open group: leading pictures have no reference",
                                      "a.mkv", always));
    add("h264_intra_refresh_mp4", "one key picture; later entries become clean only after a while", "a.mp4", [](Spec& spec) {
        spec.storage.codecParams = "intra-refresh=1";
        spec.storage.bFrames = 0;
    });
    add("h264_intra_mp4", "every picture is a key picture", "a.mp4", [](Spec& spec) { spec.storage.gop = 1; });
    add("h264_interlaced_mp4", "two fields in one picture, two instants", "a.mp4", [](Spec& spec) {
        spec.camera.height = 192;
        spec.storage.codecParams = "tff=1";
    });
    add("h264_444_odd_size_mp4", "321 x 183 pixels, chroma at full size", "a.mp4", [](Spec& spec) {
        spec.camera.width = 321;
        spec.camera.height = 183;
        spec.storage.pixelFormat = "yuv444p";
    });
    add("h264_422_10bit_mov", "10 bits, chroma halved one way only", "a.mov",
        [](Spec& spec) { spec.storage.pixelFormat = "yuv422p10le"; });
    recipes.push_back({"h264_size_change_bare", "pictures change size in the middle; bare stream without stamps", sizeChange});

    add("hevc_10bit_mp4", "10 bits, reordered", "a.mp4", hevc);
    for (const char* container : {"mp4", "mkv"})
        recipes.push_back(plain(std::string("hevc_open_gop_") + container, "skipped leading pictures vanish without an error",
                                std::string("a.") + container, [](Spec& spec) {
                                    hevc(spec);
                                    spec.storage.openGop = true;
                                }));
    recipes.push_back(openStartRecipe("hevc_open_start_mkv", "begins with leading pictures that the decoder drops", "a.mkv", hevc));

    add("mpeg4_b_frames_mp4", "B-frames of an older codec", "a.mp4", codec("mpeg4", "yuv420p"));
    add("mpeg2_ts", "B-frames, one key picture in twelve", "a.ts", codec("mpeg2video", "yuv420p"));
    add("mpeg2_ps", "program stream: pictures share a position", "a.mpg", codec("mpeg2video", "yuv420p"));
    add("av1_mp4", "packets that show a picture decoded before", "a.mp4", [](Spec& spec) {
        codec("libaom-av1", "yuv420p")(spec);
        spec.camera.frames = 36;
        spec.storage.bFrames = 0;
        spec.storage.codecOptions = {{"b", "400000"}, {"cpu-used", "8"}, {"lag-in-frames", "16"}};
    });
    add("prores_mov", "4:2:2 intra", "a.mov", codec("prores_ks", "yuv422p10le"));
    add("dnxhr_mov", "4:2:2 intra", "a.mov", [](Spec& spec) {
        codec("dnxhd", "yuv422p")(spec);
        spec.storage.codecOptions = {{"profile", "dnxhr_sq"}};
        spec.storage.bFrames = 0;
    });
    add("mjpeg_avi", "full range without saying so", "a.avi", [](Spec& spec) {
        codec("mjpeg", "yuvj420p")(spec);
        spec.storage.quality = 6;
    });
    add("mjpeg_odd_size_avi", "321 x 183 pixels: chroma rounds up", "a.avi", [](Spec& spec) {
        codec("mjpeg", "yuvj422p")(spec);
        spec.storage.quality = 6;
        spec.camera.width = 321;
        spec.camera.height = 183;
    });
    add("ffv1_intra_mkv", "lossless intra", "a.mkv", [](Spec& spec) {
        codec("ffv1", "yuv420p")(spec);
        spec.storage.gop = 1;
        spec.camera.frames = 30;
    });
    add("ffv1_gop_mkv", "looks like an intra codec but isn't", "a.mkv", [](Spec& spec) {
        codec("ffv1", "yuv420p")(spec);
        spec.camera.frames = 30;
    });
    add("ffv1_gray16_mkv", "one plane, 16 bits, odd size", "a.mkv", [](Spec& spec) {
        codec("ffv1", "gray16le")(spec);
        spec.storage.gop = 1;
        spec.camera.frames = 30;
        spec.camera.width = 321;
        spec.camera.height = 183;
    });
    add("raw_bgr_avi", "rows stored from the bottom", "a.avi", [](Spec& spec) {
        codec("rawvideo", "bgr24")(spec);
        spec.camera.frames = 12;
    });
    add("one_frame_mp4", "a single picture", "a.mp4", [](Spec& spec) { spec.camera.frames = 1; });
    add("one_frame_mkv", "a single picture", "a.mkv", [](Spec& spec) { spec.camera.frames = 1; });
}

} // namespace footage
