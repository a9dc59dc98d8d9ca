#include "tests/footage/catalogue_parts.h"
#include "tests/footage/run_program.h"
#include <fstream>
#include <iomanip>
#include <iterator>
#include <optional>
#include <sstream>
#include <stdexcept>
#include <unistd.h>

namespace footage {
namespace {

namespace fs = std::filesystem;

// The cache is keyed by the maker's sources (see CMakeLists.txt), so a change here never meets yesterday's films.
constexpr const char* fingerprint = FOOTAGE_FINGERPRINT;
constexpr const char* truthName = "truth.txt";

void save(const CatalogueFile& file, const fs::path& folder)
{
    std::ofstream out(folder / truthName);
    out << std::setprecision(17) << fingerprint << '\n'
        << file.path.filename().string() << '\n'
        << file.damagedTail << ' ' << file.stream << ' ' << file.rotation << ' ' << file.pixelAspect.num << ' '
        << file.pixelAspect.den << '\n'
        << file.barcodes.size();
    for (const int number : file.barcodes)
        out << ' ' << number;
    out << '\n' << file.stamps.size();
    for (const double stamp : file.stamps)
        out << ' ' << stamp;
    out << '\n';
    if (!out.flush())
        throw std::runtime_error("footage: can't write " + (folder / truthName).string());
}

/// Nothing when there is no such film or it was made by other sources.
std::optional<CatalogueFile> load(const fs::path& folder)
{
    std::ifstream in(folder / truthName);
    std::string made, name;
    if (!std::getline(in, made) || made != fingerprint || !std::getline(in, name))
        return std::nullopt;
    CatalogueFile file;
    file.path = folder / name;
    std::size_t frames = 0, stamps = 0;
    in >> file.damagedTail >> file.stream >> file.rotation >> file.pixelAspect.num >> file.pixelAspect.den >> frames;
    for (std::size_t i = 0; i < frames; ++i)
        in >> file.barcodes.emplace_back();
    in >> stamps;
    for (std::size_t i = 0; i < stamps; ++i)
        in >> file.stamps.emplace_back();
    return in && fs::exists(file.path) ? std::optional(file) : std::nullopt;
}

CatalogueFile makeCached(const Recipe& recipe, const fs::path& cache)
{
    const fs::path folder = cache / recipe.name;
    if (auto known = load(folder))
        return *known;
    // Made aside and moved into place whole: two test programs may want it at the same time.
    const fs::path aside = cache / (recipe.name + ".making." + std::to_string(::getpid()));
    fs::remove_all(aside);
    fs::create_directories(aside);
    try {
        save(recipe.make(aside), aside);
        fs::remove_all(folder);
        fs::rename(aside, folder);
    } catch (...) {
        std::error_code ignored; // the first failure is the one to report
        fs::remove_all(aside, ignored);
        if (auto known = load(folder)) // the other program was quicker
            return *known;
        throw;
    }
    return load(folder).value();
}

} // namespace

Spec patternSpec(int frames)
{
    Spec spec;
    spec.scene.kind = SceneKind::Pattern;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = frames;
    spec.camera.noise = 0.5;
    spec.storage.gop = 12;
    spec.storage.quality = 24;
    return spec;
}

std::vector<std::string> words(const std::string& text)
{
    std::istringstream in(text);
    return {std::istream_iterator<std::string>(in), {}};
}

void mkvmerge(const std::vector<std::string>& options, const fs::path& from, const fs::path& to)
{
    std::vector<std::string> arguments = words("--quiet --deterministic 1 --output");
    arguments.push_back(to.string());
    arguments.insert(arguments.end(), options.begin(), options.end());
    arguments.push_back(from.string());
    runProgram("mkvmerge", "mkvtoolnix", arguments, to.parent_path() / "log.txt");
}

void gstreamer(const fs::path& from, const std::string& elements, const fs::path& to)
{
    std::vector<std::string> arguments{"-q", "filesrc", "location=" + from.string(), "!"};
    for (std::string& word : words(elements + " ! filesink"))
        arguments.push_back(std::move(word));
    arguments.push_back("location=" + to.string());
    runProgram("gst-launch-1.0", "gstreamer1.0-tools and gstreamer1.0-plugins-base, -good, -bad and -ugly", arguments,
               to.parent_path() / "log.txt");
}

void ffmpeg(const std::vector<std::string>& arguments, const fs::path& to)
{
    std::vector<std::string> all = words("-y -v error");
    all.insert(all.end(), arguments.begin(), arguments.end());
    all.push_back(to.string());
    runProgram("ffmpeg", "ffmpeg", all, to.parent_path() / "log.txt");
}

CatalogueFile film(const Spec& spec, const fs::path& folder, const std::string& file)
{
    const Truth truth = make(spec, folder / file);
    CatalogueFile result;
    result.path = folder / file;
    result.rotation = spec.storage.rotation;
    result.pixelAspect = spec.storage.pixelAspect;
    for (const TrueFrame& frame : truth.frames) {
        result.barcodes.push_back(frame.pictureIndex);
        result.stamps.push_back(frame.stamp);
    }
    return result;
}

std::vector<CatalogueEntry> catalogue()
{
    std::vector<Recipe> recipes;
    addCodecRecipes(recipes);
    addContainerRecipes(recipes);
    addEditedRecipes(recipes);
    addForeignRecipes(recipes);
    std::vector<CatalogueEntry> entries;
    for (const Recipe& recipe : recipes)
        entries.push_back(
            {recipe.name, recipe.trap, [recipe](const fs::path& cache) { return makeCached(recipe, cache); }});
    return entries;
}

} // namespace footage
