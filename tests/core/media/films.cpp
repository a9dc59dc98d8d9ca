#include "tests/core/media/films.h"
#include "tests/footage/catalogue_parts.h"

std::filesystem::path filmCache() { return std::filesystem::temp_directory_path() / "tallyframe_films"; }

footage::Spec smallSpec(int frames) { return footage::patternSpec(frames); }

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

void writePng(const media::RgbImage& image, const std::filesystem::path& path)
{
    const std::vector<std::uint8_t> png = media::encodePng(image);
    writeBytes(path, {png.begin(), png.end()});
}
