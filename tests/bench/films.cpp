#include "tests/bench/films.h"
#include "tests/footage/footage.h"

#include <algorithm>
#include <iostream>
#include <thread>

namespace bench {

namespace {

struct Recipe {
    const char *name, *file, *codec, *pixelFormat;
    int width, height, frames, gop, bFrames;
};

constexpr Recipe recipes[] = {
    // Long enough for 2,000 steps over eight key frames and more.
    {"1080p H.264, GOP 250, B", "h264_1080_gop250_long.mp4", "libx264", "yuv420p", 1920, 1080, 2'100, 250, 3},
    {"1080p HEVC", "hevc_1080.mp4", "libx265", "yuv420p", 1920, 1080, 500, 250, 3},
    {"1080p MJPEG, intra only", "mjpeg_1080.mov", "mjpeg", "yuvj420p", 1920, 1080, 500, 1, 0},
    {"4K H.264, GOP 250, B", "h264_2160.mp4", "libx264", "yuv420p", 3840, 2160, 400, 250, 3},
    {"720p H.264, GOP 12", "h264_720_gop12.mp4", "libx264", "yuv420p", 1280, 720, 750, 12, 3},
};

constexpr Recipe manyFrames{
    "360p H.264, 20,000 frames", "h264_360_long.mp4", "libx264", "yuv420p", 640, 360, 20'000, 250, 3};

void make(const Recipe& recipe, const std::filesystem::path& path, const Effort& effort)
{
    footage::Spec spec;
    spec.scene.kind = footage::SceneKind::Pattern;
    spec.camera.width = effort.small ? recipe.width / 10 : recipe.width;
    spec.camera.height = effort.small ? recipe.height / 10 : recipe.height;
    spec.camera.frames = effort.small ? 40 : recipe.frames;
    spec.storage.codec = recipe.codec;
    spec.storage.pixelFormat = recipe.pixelFormat;
    spec.storage.quality = recipe.gop == 1 ? 5 : 20;
    spec.storage.gop = effort.small ? std::min(recipe.gop, 16) : recipe.gop;
    spec.storage.bFrames = recipe.bFrames;
    spec.storage.threads = static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
    // Under another name until it is whole, so that a film broken off isn't taken for one.
    const auto unfinished = path.parent_path() / ("unfinished_" + path.filename().string());
    footage::make(spec, unfinished);
    std::filesystem::rename(unfinished, path);
}

Film film(const Recipe& recipe, const std::filesystem::path& folder, const Effort& effort)
{
    const auto path = folder / ((effort.small ? "small_" : "") + std::string(recipe.file));
    if (!std::filesystem::exists(path)) {
        std::cerr << "making " << path.string() << '\n';
        make(recipe, path, effort);
    }
    return {recipe.name, path};
}

} // namespace

std::vector<Film> films(const std::filesystem::path& folder, const std::string& word, const Effort& effort)
{
    std::vector<Film> made;
    for (const Recipe& recipe : recipes)
        if (std::string(recipe.file).find(word) != std::string::npos)
            made.push_back(film(recipe, folder, effort));
    return made;
}

Film longFilm(const std::filesystem::path& folder, const Effort& effort) { return film(manyFrames, folder, effort); }

} // namespace bench
