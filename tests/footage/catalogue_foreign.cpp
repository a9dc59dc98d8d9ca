// Films that other programs put together: their muxers' habits differ from libav's.
#include "tests/footage/catalogue_parts.h"
#include "tests/footage/run_program.h"

namespace footage {
namespace {

namespace fs = std::filesystem;

/// Film by libav, put into Matroska by mkvmerge.
CatalogueFile merged(const Spec& spec, const fs::path& folder, const std::string& source,
                     const std::vector<std::string>& sourceOptions = {})
{
    CatalogueFile result = film(spec, folder, source);
    const fs::path from = result.path;
    result.path = folder / "merged.mkv";
    std::vector<std::string> arguments{"--quiet", "--deterministic", "1", "--output", result.path.string()};
    arguments.insert(arguments.end(), sourceOptions.begin(), sourceOptions.end());
    arguments.push_back(from.string());
    runProgram("mkvmerge", "mkvtoolnix", arguments, folder / "log.txt");
    fs::remove(from);
    result.stamps.clear();
    return result;
}

/// Pictures by us, everything else by GStreamer: `rest` is the pipeline from raw pictures to the container.
CatalogueFile piped(const fs::path& folder, const std::string& file, const std::vector<std::string>& rest)
{
    Spec spec = patternSpec();
    spec.storage.codec = "rawvideo";
    spec.storage.container = "rawvideo";
    spec.storage.bFrames = 0;
    CatalogueFile result = film(spec, folder, "raw.yuv");
    const fs::path from = result.path;
    result.path = folder / file;
    std::vector<std::string> arguments{"-q", "filesrc", "location=" + from.string(), "!", "rawvideoparse", "width=320", "height=180",
                                       "format=i420", "framerate=30/1", "!"};
    arguments.insert(arguments.end(), rest.begin(), rest.end());
    arguments.insert(arguments.end(), {"!", "filesink", "location=" + result.path.string()});
    runProgram("gst-launch-1.0", "gstreamer1.0-tools and gstreamer1.0-plugins-base, -good, -bad and -ugly", arguments,
               folder / "log.txt");
    fs::remove(from);
    result.stamps.clear();
    return result;
}

/// Pictures by us, coded in two passes by the ffmpeg program: libvpx hides pictures only when it knows what comes.
CatalogueFile twoPass(const fs::path& folder, const std::string& encoder)
{
    Spec spec = patternSpec();
    spec.storage.codec = spec.storage.container = "rawvideo";
    spec.storage.bFrames = 0;
    CatalogueFile result = film(spec, folder, "raw.yuv");
    const fs::path from = result.path, statistics = folder / "pass";
    result.path = folder / "a.mkv";
    for (const char* pass : {"1", "2"})
        runProgram("ffmpeg", "ffmpeg",
                   {"-y", "-v", "error", "-f", "rawvideo", "-s", "320x180", "-r", "30", "-i", from.string(), "-c:v", encoder,
                    "-b:v", "400k", "-auto-alt-ref", "1", "-lag-in-frames", "16", "-g", "60", "-cpu-used", "4", "-threads", "1",
                    "-pass", pass, "-passlogfile", statistics.string(), "-fflags", "+bitexact", "-flags:v", "+bitexact",
                    result.path.string()},
                   folder / "log.txt");
    fs::remove(from);
    fs::remove(statistics.string() + "-0.log");
    return result;
}

} // namespace

void addForeignRecipes(std::vector<Recipe>& recipes)
{
    const auto reordered = [] {
        Spec spec = patternSpec();
        spec.storage.codecParams = "b-adapt=0";
        return spec;
    };
    recipes.push_back({"vp8_mkv", "a hidden picture in a packet of its own",
                       [](const fs::path& folder) { return twoPass(folder, "libvpx"); }});
    recipes.push_back({"vp9_mkv", "hidden pictures share packets with shown ones",
                       [](const fs::path& folder) { return twoPass(folder, "libvpx-vp9"); }});
    recipes.push_back({"mkvmerge_h264", "B-frames remuxed from MP4", [=](const fs::path& folder) {
                           return merged(reordered(), folder, "source.mp4");
                       }});
    recipes.push_back({"mkvmerge_h264_open_gop", "open groups remuxed from MP4", [=](const fs::path& folder) {
                           Spec spec = reordered();
                           spec.storage.openGop = true;
                           return merged(spec, folder, "source.mp4");
                       }});
    recipes.push_back({"mkvmerge_h264_bare_960", "a bare stream told to be 960 frames a second", [=](const fs::path& folder) {
                           return merged(reordered(), folder, "source.h264", {"--default-duration", "0:960p"});
                       }});
    recipes.push_back({"mkvmerge_hevc", "HEVC remuxed from MP4", [=](const fs::path& folder) {
                           Spec spec = reordered();
                           spec.storage.codec = "libx265";
                           spec.storage.preset = "ultrafast";
                           return merged(spec, folder, "source.mp4");
                       }});

    // One thread and fixed settings, so that the film is the same each time.
    const std::vector<std::string> x264{"x264enc", "threads=1", "bframes=3", "b-adapt=false", "b-pyramid=true", "key-int-max=12",
                                        "pass=quant", "quantizer=24", "mb-tree=false", "!"};
    const auto gst = [&](const char* name, const char* trap, const char* file, std::vector<std::string> encoder,
                         const std::vector<std::string>& muxer) {
        encoder.insert(encoder.end(), muxer.begin(), muxer.end());
        recipes.push_back({name, trap, [=, fileName = std::string(file)](const fs::path& folder) {
                               return piped(folder, fileName, encoder);
                           }});
    };
    gst("gst_h264_mp4", "another muxer's edit list for the reorder delay", "a.mp4", x264, {"h264parse", "!", "mp4mux"});
    gst("gst_h264_mov_front", "QuickTime with the index in front", "a.mov", x264, {"h264parse", "!", "qtmux", "faststart=true"});
    gst("gst_h264_mp4_fragments", "fragments of a third of a second", "a.mp4", x264,
        {"h264parse", "!", "mp4mux", "fragment-duration=333"});
    gst("gst_h264_mkv", "another Matroska muxer", "a.mkv", x264, {"h264parse", "!", "matroskamux"});
    gst("gst_h264_ts", "another transport stream muxer", "a.ts", x264, {"h264parse", "!", "mpegtsmux"});
    gst("gst_h264_avi", "another AVI muxer, B-frames", "a.avi", x264,
        {"h264parse", "!", "video/x-h264,stream-format=byte-stream", "!", "avimux"});
    gst("gst_mjpeg_avi", "another JPEG encoder", "a.avi", {"jpegenc", "quality=90", "!"}, {"avimux"});
    gst("gst_mjpeg_mov", "JPEG in QuickTime", "a.mov", {"jpegenc", "quality=90", "!"}, {"qtmux"});
    gst("gst_raw_mkv", "raw pictures in Matroska", "a.mkv", {}, {"matroskamux"});
}

} // namespace footage
