// Kinds of file whose trap lies in the coded stream.
#include "tests/footage/catalogue_parts.h"
#include "tests/footage/edit.h"
#include <algorithm>
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
    const auto packets = takePackets(whole);
    const auto second = std::find_if(packets.begin() + 1, packets.end(), [](const LoosePacket& p) { return p.key; });
    if (second == packets.end())
        throw std::runtime_error("footage: the film to be cut has one group only");
    result.path = folder / file;
    putPackets({second, packets.end()}, whole, result.path);
    fs::remove(whole);
    // What lies before the key picture in presentation order can't be decoded; frames are numbered in that order.
    const auto before =
        std::count_if(packets.begin(), packets.end(), [&](const LoosePacket& p) { return p.pts < second->pts; });
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

using Add = std::function<void(const char* name, const char* trap, const char* file, const Change& change)>;

void addGreyAndDeep(const Add& add)
{
    struct Kind {
        const char* name;
        const char* file;
        const char* encoder;
        const char* pixels;
    };
    const Kind kinds[] = {
        {"h264_gray_mp4", "a.mp4", "libx264", "gray"},       {"h264_gray10_mkv", "a.mkv", "libx264", "gray10le"},
        {"hevc_gray12_mp4", "a.mp4", "libx265", "gray12le"}, {"hevc_444_12bit_mkv", "a.mkv", "libx265", "yuv444p12le"},
        {"ffv1_gray8_avi", "a.avi", "ffv1", "gray"},         {"ffv1_gray10_mkv", "a.mkv", "ffv1", "gray10le"},
        {"ffv1_gray12_mkv", "a.mkv", "ffv1", "gray12le"},    {"ffv1_rgb48_mkv", "a.mkv", "ffv1", "gbrp16le"},
        {"ffv1_yuv16_mkv", "a.mkv", "ffv1", "yuv444p16le"},  {"raw_gray8_avi", "a.avi", "rawvideo", "gray"},
        {"raw_gray16_nut", "a.nut", "rawvideo", "gray16le"}, {"raw_rgb48_nut", "a.nut", "rawvideo", "rgb48le"}};
    for (const Kind& kind : kinds)
        add(kind.name, "depth and number of planes", kind.file, [kind](Spec& spec) {
            codec(kind.encoder, kind.pixels)(spec);
            spec.camera.frames = 14;
            spec.storage.preset = "ultrafast";
            if (std::string(kind.encoder).starts_with("lib"))
                return;
            spec.storage.gop = 1;
            spec.storage.bFrames = 0;
        });
}

void addOlderCodecs(const Add& add)
{
    struct Kind {
        const char* name;
        const char* trap;
        const char* file;
        const char* encoder;
        const char* pixels;
        int bFrames;
    };
    const Kind kinds[] = {
        {"mpeg1_ps", "program stream of the first kind", "a.mpg", "mpeg1video", "yuv420p", 2},
        {"mpeg4_b_frames_avi", "B-frames without presentation stamps", "a.avi", "mpeg4", "yuv420p", 2},
        {"h263_3gp", "fixed picture sizes", "a.3gp", "h263", "yuv420p", 0},
        {"flv1_flv", "seeking by position", "a.flv", "flv", "yuv420p", 0},
        {"h264_flv", "composition offsets in milliseconds", "a.flv", "libx264", "yuv420p", 3},
        {"wmv2_asf", "packets cut into pieces", "a.wmv", "wmv2", "yuv420p", 0},
        {"msmpeg4_avi", "groups without key flags in the stream", "a.avi", "msmpeg4", "yuv420p", 0},
        {"theora_ogg", "stamps on pages, not on pictures", "a.ogv", "libtheora", "yuv420p", 0},
        {"vc2_mkv", "wavelets", "a.mkv", "vc2", "yuv422p", 0},
        {"huffyuv_avi", "lossless", "a.avi", "huffyuv", "yuv422p", 0},
        {"utvideo_avi", "lossless", "a.avi", "utvideo", "gbrp", 0},
        {"magicyuv_mkv", "lossless", "a.mkv", "magicyuv", "gbrp", 0},
        {"v210_mov", "packed 10 bits", "a.mov", "v210", "yuv422p10le", 0},
        {"qtrle_mov", "only what changed is stored", "a.mov", "qtrle", "rgb24", 0},
        {"png_mov", "pictures in a film", "a.mov", "png", "rgb24", 0},
        {"jpeg2000_mov", "wavelets", "a.mov", "jpeg2000", "yuv420p", 0},
        {"jpeg2000_mxf", "broadcast container", "a.mxf", "jpeg2000", "yuv422p", 0},
        {"cineform_mov", "wavelets", "a.mov", "cfhd", "yuv422p10le", 0},
        {"h264_mxf", "broadcast container, reordered", "a.mxf", "libx264", "yuv420p", 3},
        {"mpeg2_mxf", "broadcast container, reordered", "a.mxf", "mpeg2video", "yuv420p", 2}};
    for (const Kind& kind : kinds)
        add(kind.name, kind.trap, kind.file, [kind](Spec& spec) {
            codec(kind.encoder, kind.pixels)(spec);
            spec.camera.frames = 26;
            spec.storage.bFrames = kind.bFrames;
            if (std::string(kind.encoder) == "h263") {
                spec.camera.width = 352;
                spec.camera.height = 288;
            }
            if (std::string(kind.file).ends_with(".mxf") || std::string(kind.encoder).starts_with("mpeg"))
                spec.storage.playbackRate = {25, 1};
            if (std::string(kind.file).ends_with(".mxf"))
                spec.storage.timeBase = {1, 25};
            if (std::string(kind.encoder) == "mpeg1video" || std::string(kind.encoder) == "mpeg2video"
                || std::string(kind.encoder) == "wmv2")
                spec.storage.codecOptions = {{"b", "2000000"}};
        });
}

/// Two bare streams of different picture size, one after the other.
CatalogueFile sizeChange(const fs::path& folder)
{
    Spec spec = patternSpec(24);
    CatalogueFile result = film(spec, folder, "size_change.h264");
    spec.camera.width = 480;
    spec.camera.height = 270;
    const CatalogueFile second = film(spec, folder, "second.h264");
    writeBytes(result.path, readBytes(result.path) + readBytes(second.path));
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
    recipes.push_back(openStartRecipe("h264_open_start_mkv",
                                      "begins in an open group: leading pictures have no reference", "a.mkv", always));
    add("h264_intra_refresh_mp4", "one key picture; later entries become clean only after a while", "a.mp4",
        [](Spec& spec) {
            spec.storage.codecParams = "intra-refresh=1";
            spec.storage.bFrames = 0;
        });
    add("h264_intra_mp4", "every picture is a key picture", "a.mp4", [](Spec& spec) { spec.storage.gop = 1; });
    add("h264_interlaced_mp4", "two fields in one picture, two instants", "a.mp4", [](Spec& spec) {
        spec.camera.height = 192;
        spec.storage.codecParams = "tff=1";
    });
    add("h264_intra_refresh_ts", "recovery points instead of key pictures, and no table of them", "a.ts",
        [](Spec& spec) {
            spec.storage.codecParams = "intra-refresh=1";
            spec.storage.bFrames = 0;
        });
    add("h264_fake_interlaced_mkv", "whole pictures that are called interlaced", "a.mkv", [](Spec& spec) {
        spec.camera.height = 192;
        spec.storage.codecParams = "fake-interlaced=1";
    });
    add("h264_444_odd_size_mp4", "321 x 183 pixels, chroma at full size", "a.mp4", [](Spec& spec) {
        spec.camera.width = 321;
        spec.camera.height = 183;
        spec.storage.pixelFormat = "yuv444p";
    });
    add("h264_422_10bit_mov", "10 bits, chroma halved one way only", "a.mov",
        [](Spec& spec) { spec.storage.pixelFormat = "yuv422p10le"; });
    recipes.push_back(
        {"h264_size_change_bare", "pictures change size in the middle; bare stream without stamps", sizeChange});

    add("hevc_10bit_mp4", "10 bits, reordered", "a.mp4", hevc);
    for (const char* container : {"mp4", "mkv"})
        recipes.push_back(plain(std::string("hevc_open_gop_") + container,
                                "skipped leading pictures vanish without an error", std::string("a.") + container,
                                [](Spec& spec) {
                                    hevc(spec);
                                    spec.storage.openGop = true;
                                }));
    recipes.push_back(
        openStartRecipe("hevc_open_start_mkv", "begins with leading pictures that the decoder drops", "a.mkv", hevc));

    recipes.push_back(openStartRecipe(
        "hevc_radl_start_mkv", "begins with leading pictures of which some can be decoded", "a.mkv", [](Spec& spec) {
            hevc(spec);
            spec.storage.codecParams += ":radl=2";
        }));
    add("hevc_pq_mp4", "high dynamic range: perceptual quantiser, wide colours", "a.mp4", [](Spec& spec) {
        hevc(spec);
        spec.camera.frames = 24;
        spec.storage.codecParams += ":colorprim=bt2020:transfer=smpte2084:colormatrix=bt2020nc";
    });
    add("hevc_hlg_mkv", "high dynamic range: hybrid log-gamma, wide colours", "a.mkv", [](Spec& spec) {
        hevc(spec);
        spec.camera.frames = 24;
        spec.storage.codecParams += ":colorprim=bt2020:transfer=arib-std-b67:colormatrix=bt2020nc";
    });
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
    addGreyAndDeep(add);
    addOlderCodecs(add);
    add("one_frame_mp4", "a single picture", "a.mp4", [](Spec& spec) { spec.camera.frames = 1; });
    add("one_frame_mkv", "a single picture", "a.mkv", [](Spec& spec) { spec.camera.frames = 1; });
}

} // namespace footage
