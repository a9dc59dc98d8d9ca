#include "tests/core/media/films.h"
#include "tests/footage/footage.h"
#include <fstream>
#include <iterator>
#include <stdexcept>

std::filesystem::path filmCache() { return std::filesystem::temp_directory_path() / "tallyframe_films"; }

footage::Spec smallSpec(int frames)
{
    footage::Spec spec;
    spec.scene.kind = footage::SceneKind::Pattern;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = frames;
    spec.camera.noise = 0.5;
    spec.storage.gop = 12;
    spec.storage.quality = 24;
    return spec;
}

std::filesystem::path film(const std::string& name, const footage::Spec& spec)
{
    static const TempFolder folder;
    const std::filesystem::path path = folder / name;
    if (!std::filesystem::exists(path))
        footage::make(spec, path);
    return path;
}

std::shared_ptr<const media::Footage> smallFilm(const std::string& extension)
{
    return media::openFootage(film("small." + extension, smallSpec()));
}

std::string bytesOf(const std::filesystem::path& path)
{
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

void writeBytes(const std::filesystem::path& path, const std::string& bytes)
{
    std::ofstream out(path, std::ios::binary);
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    if (!out.flush())
        throw std::runtime_error("can't write " + path.string());
}

void writePng(const media::RgbImage& image, const std::filesystem::path& path)
{
    const std::vector<std::uint8_t> png = media::encodePng(image);
    writeBytes(path, {png.begin(), png.end()});
}
