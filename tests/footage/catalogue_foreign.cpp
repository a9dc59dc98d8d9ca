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
    mkvmerge(sourceOptions, from, result.path);
    fs::remove(from);
    result.stamps.clear();
    return result;
}

/// Pictures by us, everything else by GStreamer: `rest` is the pipeline from raw pictures to the container.
CatalogueFile piped(const fs::path& folder, const std::string& file, const std::string& rest)
{
    constexpr int height = 192; // a multiple of 32, as field pictures need
    Spec spec = patternSpec(40);
    spec.camera.height = height;
    spec.storage.codec = spec.storage.container = "rawvideo";
    spec.storage.bFrames = 0;
    CatalogueFile result = film(spec, folder, "raw.yuv");
    const fs::path from = result.path;
    result.path = folder / file;
    gstreamer(from,
              "rawvideoparse width=320 height=" + std::to_string(height) + " format=i420 framerate=30/1 ! " + rest,
              result.path);
    fs::remove(from);
    result.stamps.clear();
    return result;
}

/// Numbered pictures by us, written anew by ImageMagick.
CatalogueFile redrawn(const fs::path& folder, const std::string& pixels, const std::string& extension,
                      const std::string& options)
{
    Spec spec = patternSpec(16);
    spec.storage.container = spec.storage.codec = "png";
    spec.storage.pixelFormat = pixels;
    spec.camera.missing = {4};
    CatalogueFile result = film(spec, folder, "ours");
    const fs::path from = result.path;
    result.path = folder / "pictures";
    fs::create_directories(result.path);
    for (const auto& picture : fs::directory_iterator(from)) {
        std::vector<std::string> arguments = words(options);
        arguments.insert(arguments.begin(), picture.path().string());
        arguments.push_back((result.path / picture.path().stem()).string() + "." + extension);
        runProgram("convert-im6.q16", "imagemagick-6.q16", arguments, folder / "log.txt");
    }
    fs::remove_all(from);
    result.stamps.clear();
    return result;
}

/// Two films of different sizes and lengths as streams of one file, by mkvmerge.
CatalogueFile twoStreams(const fs::path& folder, int chosen)
{
    Spec spec = patternSpec(40);
    CatalogueFile large = film(spec, folder, "large.mp4");
    spec.camera.width = 240;
    spec.camera.height = 136;
    spec.camera.frames = 30;
    spec.storage.codec = "mpeg2video";
    spec.storage.playbackRate = {25, 1};
    const CatalogueFile small = film(spec, folder, "small.ts");
    CatalogueFile result = chosen == 0 ? small : large;
    result.path = folder / "a.mkv";
    mkvmerge({small.path.string()}, large.path, result.path);
    fs::remove(small.path);
    fs::remove(large.path);
    result.stamps.clear();
    result.stream = chosen == 0 ? 0 : -1;
    return result;
}

/// A cover picture that is larger than the films: its file, in a folder of its own.
fs::path coverPicture(const fs::path& folder, const char* container, const char* codec, const char* pixels)
{
    Spec cover = patternSpec(1);
    cover.camera.width = 640;
    cover.camera.height = 360;
    cover.storage.container = container;
    cover.storage.codec = codec;
    cover.storage.pixelFormat = pixels;
    cover.storage.quality = 4;
    return fs::directory_iterator(film(cover, folder, "cover").path)->path();
}

CatalogueFile withCover(const fs::path& folder)
{
    const fs::path cover = coverPicture(folder, "jpg", "mjpeg", "yuvj420p");
    std::vector<std::string> options =
        words("--attachment-mime-type image/jpeg --attachment-name cover.jpg --attach-file");
    options.push_back(cover.string());
    CatalogueFile result = merged(patternSpec(40), folder, "source.mp4", options);
    fs::remove_all(cover.parent_path());
    return result;
}

/// A film with its cover picture as a stream, by the ffmpeg program.
CatalogueFile withCoverStream(const fs::path& folder)
{
    const fs::path cover = coverPicture(folder, "png", "png", "rgb24");
    CatalogueFile result = film(patternSpec(40), folder, "source.mp4");
    const fs::path from = result.path;
    result.path = folder / "a.mp4";
    std::vector<std::string> arguments{"-i", cover.string(), "-i", from.string()};
    for (std::string& word : words("-map 0 -map 1 -c copy -disposition:v:0 attached_pic -fflags +bitexact"))
        arguments.push_back(std::move(word));
    ffmpeg(arguments, result.path);
    fs::remove(from);
    fs::remove_all(cover.parent_path());
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
    for (const char* pass : {"1", "2"}) {
        std::vector<std::string> arguments = words("-f rawvideo -s 320x180 -r 30 -i");
        arguments.push_back(from.string());
        for (std::string& word : words("-c:v " + encoder
                                       + " -b:v 400k -auto-alt-ref 1 -lag-in-frames 16 -g 60 -cpu-used 4 -threads 1"
                                         " -fflags +bitexact -flags:v +bitexact -pass "
                                       + pass + " -passlogfile"))
            arguments.push_back(std::move(word));
        arguments.push_back(statistics.string());
        ffmpeg(arguments, result.path);
    }
    fs::remove(from);
    fs::remove(statistics.string() + "-0.log");
    return result;
}

void addPiped(std::vector<Recipe>& recipes)
{
    // One thread and fixed settings, so that the film is the same each time.
    const std::string quantised = " key-int-max=12 pass=quant quantizer=24 mb-tree=false ! h264parse ! ";
    const std::string x264 = "x264enc threads=1 bframes=3 b-adapt=false b-pyramid=true" + quantised;
    const std::string x264Interlaced = "capssetter caps=video/x-raw,interlace-mode=interleaved,"
                                       "field-order=top-field-first ! x264enc threads=1 bframes=3 interlaced=true"
                                       + quantised;
    const std::string x264Refresh = "x264enc threads=1 bframes=0 intra-refresh=true" + quantised;
    const std::string x264Intra = "x264enc threads=1 key-int-max=1 pass=quant quantizer=24 ! h264parse ! ";
    const std::string x265 = "x265enc key-int-max=12 speed-preset=ultrafast "
                             "option-string=bframes=3:pools=none:frame-threads=1 ! h265parse ! ";
    const std::string openH264 = "openh264enc gop-size=12 multi-thread=1 bitrate=1000000 ! h264parse ! ";
    const auto mpeg2 = [](const std::string& interlaceMode) {
        return "mpeg2enc format=3 interlace-mode=" + interlaceMode
               + " bitrate=4000 b-per-refframe=2 max-gop-size=12 min-gop-size=12 ! mpegvideoparse ! ";
    };
    const std::string vp8 = "vp8enc deadline=1 cpu-used=4 threads=1 keyframe-max-dist=12 target-bitrate=600000 ! ";
    const std::string vp9 =
        "vp9enc deadline=1 cpu-used=6 threads=1 keyframe-max-dist=12 target-bitrate=600000 lag-in-frames=16 ! ";
    const std::string av1 =
        "av1enc cpu-used=8 threads=1 keyframe-max-dist=12 target-bitrate=600 lag-in-frames=16 ! av1parse ! ";
    const std::string jpeg = "jpegenc quality=90 ! ";
    struct Pipe {
        const char* name;
        const char* trap;
        const char* file;
        std::string encoder;
        const char* muxer;
    };
    const Pipe pipes[] = {
        {"gst_h264_mp4", "another muxer's edit list for the reorder delay", "a.mp4", x264, "mp4mux"},
        {"gst_h264_mov_front", "QuickTime with the index in front", "a.mov", x264, "qtmux faststart=true"},
        {"gst_h264_mp4_fragments", "fragments of a third of a second", "a.mp4", x264, "mp4mux fragment-duration=333"},
        {"gst_h264_ismv", "fragments with tables at the end", "a.ismv", x264, "ismlmux fragment-duration=333"},
        {"gst_h264_3gp", "phone container", "a.3gp", x264, "3gppmux"},
        {"gst_h264_mkv", "another Matroska muxer", "a.mkv", x264, "matroskamux"},
        {"gst_h264_ts", "another transport stream muxer", "a.ts", x264, "mpegtsmux"},
        {"gst_h264_ps", "H.264 in a program stream", "a.mpg", x264, "mpegpsmux"},
        {"gst_h264_flv", "another Flash video muxer", "a.flv", x264, "flvmux"},
        {"gst_h264_avi", "another AVI muxer, B-frames", "a.avi", x264,
         "video/x-h264,stream-format=byte-stream ! avimux"},
        {"gst_h264_bare", "bare stream with access unit marks", "a.h264", x264,
         "video/x-h264,stream-format=byte-stream,alignment=au ! identity"},
        {"gst_h264_mxf", "broadcast container", "a.mxf", x264Intra, "mxfmux"},
        {"gst_h264_interlaced_mkv", "macroblocks of either field or frame kind", "a.mkv", x264Interlaced,
         "matroskamux"},
        {"gst_h264_interlaced_ts", "macroblocks of either field or frame kind", "a.ts", x264Interlaced, "mpegtsmux"},
        {"gst_h264_intra_refresh_mp4", "recovery points instead of key pictures", "a.mp4", x264Refresh, "mp4mux"},
        {"gst_h264_intra_refresh_ts", "recovery points instead of key pictures", "a.ts", x264Refresh, "mpegtsmux"},
        {"gst_openh264_mp4", "another H.264 encoder, nothing reordered", "a.mp4", openH264, "mp4mux"},
        {"gst_hevc_mp4", "another muxer for HEVC", "a.mp4", x265, "mp4mux"},
        {"gst_hevc_mkv", "another muxer for HEVC", "a.mkv", x265, "matroskamux"},
        {"gst_hevc_ts", "HEVC in a transport stream", "a.ts", x265, "mpegtsmux"},
        {"gst_hevc_bare", "bare HEVC stream", "a.hevc", x265,
         "video/x-h265,stream-format=byte-stream,alignment=au ! identity"},
        {"gst_mpeg2_ts", "another MPEG-2 encoder", "a.ts", mpeg2("0"), "mpegtsmux"},
        {"gst_mpeg2_ps", "another MPEG-2 encoder, program stream", "a.mpg", mpeg2("0"), "mpegpsmux"},
        {"gst_mpeg2_mkv", "MPEG-2 in Matroska", "a.mkv", mpeg2("0"), "matroskamux"},
        {"gst_mpeg2_interlaced_ts", "interlaced frame pictures", "a.ts", mpeg2("1"), "mpegtsmux"},
        {"gst_vp8_webm", "another VP8 muxer", "a.webm", vp8, "webmmux"},
        {"gst_vp9_webm", "another VP9 muxer", "a.webm", vp9, "webmmux"},
        {"gst_vp9_mp4", "VP9 in MP4", "a.mp4", vp9, "vp9parse ! mp4mux"},
        {"gst_av1_mkv", "AV1 by another muxer", "a.mkv", av1, "matroskamux"},
        {"gst_av1_mp4", "AV1 by another muxer", "a.mp4", av1, "mp4mux"},
        {"gst_theora_ogg", "stamps on pages, not on pictures", "a.ogv", "theoraenc keyframe-force=12 ! ", "oggmux"},
        {"gst_mjpeg_avi", "another JPEG encoder", "a.avi", jpeg, "avimux"},
        {"gst_mjpeg_mov", "JPEG in QuickTime", "a.mov", jpeg, "qtmux"},
        {"gst_mjpeg_mkv", "JPEG in Matroska", "a.mkv", jpeg, "matroskamux"},
        {"gst_mjpeg_bare", "JPEG pictures in a row", "a.mjpeg", jpeg, "identity"},
        {"gst_raw_mkv", "raw pictures in Matroska", "a.mkv", "", "matroskamux"},
        {"gst_raw_avi", "raw pictures in AVI", "a.avi", "", "avimux"},
        {"gst_raw_y4m", "raw pictures with a line of text each", "a.y4m", "y4menc ! ", "identity"}};
    for (const Pipe& pipe : pipes)
        recipes.push_back({pipe.name, pipe.trap, [pipe](const fs::path& folder) {
                               return piped(folder, pipe.file, pipe.encoder + pipe.muxer);
                           }});
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
    recipes.push_back({"mkvmerge_h264", "B-frames remuxed from MP4",
                       [=](const fs::path& folder) { return merged(reordered(), folder, "source.mp4"); }});
    recipes.push_back({"mkvmerge_h264_open_gop", "open groups remuxed from MP4", [=](const fs::path& folder) {
                           Spec spec = reordered();
                           spec.storage.openGop = true;
                           return merged(spec, folder, "source.mp4");
                       }});
    recipes.push_back(
        {"mkvmerge_h264_bare_960", "a bare stream told to be 960 frames a second", [=](const fs::path& folder) {
             return merged(reordered(), folder, "source.h264", {"--default-duration", "0:960p"});
         }});
    recipes.push_back({"mkvmerge_hevc", "HEVC remuxed from MP4", [=](const fs::path& folder) {
                           Spec spec = reordered();
                           spec.storage.codec = "libx265";
                           spec.storage.preset = "ultrafast";
                           return merged(spec, folder, "source.mp4");
                       }});

    recipes.push_back({"mkvmerge_mpeg2", "transport stream remuxed", [](const fs::path& folder) {
                           Spec spec = patternSpec(40);
                           spec.storage.codec = "mpeg2video";
                           spec.storage.playbackRate = {25, 1};
                           spec.storage.bFrames = 2;
                           return merged(spec, folder, "source.ts");
                       }});
    recipes.push_back(
        {"mkvmerge_hevc_open_gop_bare", "a bare stream with skipped leading pictures", [=](const fs::path& folder) {
             Spec spec = reordered();
             spec.storage.codec = "libx265";
             spec.storage.preset = "ultrafast";
             spec.storage.openGop = true;
             return merged(spec, folder, "source.hevc");
         }});
    recipes.push_back({"mkvmerge_h264_avi", "an AVI file with B-frames remuxed",
                       [=](const fs::path& folder) { return merged(reordered(), folder, "source.avi"); }});
    recipes.push_back(
        {"mkvmerge_h264_laced_audio", "sound before the pictures, several blocks in one", [=](const fs::path& folder) {
             Spec spec = reordered();
             spec.storage.audioFirst = true;
             return merged(spec, folder, "source.mp4");
         }});
    recipes.push_back({"mkvmerge_two_streams", "two moving pictures; the second is larger",
                       [](const fs::path& folder) { return twoStreams(folder, 1); }});
    recipes.push_back({"mkvmerge_two_streams_small", "two moving pictures; the smaller one is chosen",
                       [](const fs::path& folder) { return twoStreams(folder, 0); }});
    recipes.push_back({"mkvmerge_cover", "an attached cover picture larger than the film", withCover});
    recipes.push_back({"cover_stream_mp4", "a cover picture as a stream, larger than the film", withCoverStream});
    addPiped(recipes);

    const auto magick = [&](const char* name, const std::string& pixels, const std::string& extension,
                            const std::string& options) {
        recipes.push_back({name, "pictures as another program writes them",
                           [=](const fs::path& folder) { return redrawn(folder, pixels, extension, options); }});
    };
    magick("magick_png_gray16", "gray16be", "png", "-depth 16");
    magick("magick_png_interlaced", "rgb24", "png", "-interlace PNG");
    magick("magick_tiff_lzw", "rgb24", "tiff", "-compress LZW");
    magick("magick_tiff_zip16", "rgb48be", "tif", "-compress Zip -depth 16");
    magick("magick_tiff_big_endian", "gray", "tif", "-compress None -endian MSB");
    magick("magick_jpeg_444", "rgb24", "jpg", "-quality 95 -sampling-factor 4:4:4");
    magick("magick_jpeg_progressive", "rgb24", "jpg", "-quality 90 -interlace JPEG");
    magick("magick_jpeg_gray", "gray", "jpeg", "-quality 95");
}

} // namespace footage
