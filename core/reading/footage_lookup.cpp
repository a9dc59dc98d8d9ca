#include "core/reading/footage_lookup.h"
#include "core/error.h"
#include "core/reading/path_text.h"

#include <QCollator>
#include <algorithm>
#include <cctype>

namespace reading {

namespace fs = std::filesystem;

namespace {

constexpr int deepest = 6; ///< a link that leads in a circle ends here

const std::vector<std::string> pictureEndings{"png", "tif", "tiff", "jpg", "jpeg", "bmp"};

/// In lower case, without the dot.
std::string endingOf(const fs::path& path)
{
    std::string ending = path.extension().string();
    ending.erase(0, 1);
    std::ranges::transform(ending, ending.begin(), [](unsigned char c) { return std::tolower(c); });
    return ending;
}

bool contains(const std::vector<std::string>& endings, const std::string& ending)
{
    return std::ranges::find(endings, ending) != endings.end();
}

std::vector<fs::path> inNameOrder(std::vector<fs::path> paths)
{
    // run2 before run10, in a locale that knows numbers: C doesn't.
    QCollator order{QLocale(QLocale::English)};
    order.setNumericMode(true);
    const auto text = [](const fs::path& path) { return QFile::decodeName(QByteArray::fromStdString(path.string())); };
    std::ranges::stable_sort(
        paths, [&](const QString& a, const QString& b) { return order.compare(a, b) < 0; }, text);
    return paths;
}

bool isHidden(const fs::path& path) { return path.filename().string().starts_with('.'); }

std::vector<fs::path> footageIn(const fs::path& folder, int depth)
{
    std::vector<fs::path> found, folders;
    int pictures = 0;
    std::error_code failed; // a folder that can't be read holds nothing that could be
    for (fs::directory_iterator entry(folder, failed), end; !failed && entry != end; entry.increment(failed)) {
        std::error_code gone; // meanwhile
        if (isHidden(entry->path()))
            continue;
        if (entry->is_directory(gone))
            folders.push_back(entry->path());
        else if (const std::string ending = endingOf(entry->path()); contains(filmEndings(), ending))
            found.push_back(entry->path());
        else if (contains(pictureEndings, ending))
            ++pictures;
    }
    if (found.empty() && pictures > 1)
        return {folder};
    if (depth < deepest)
        for (const fs::path& inner : folders)
            std::ranges::copy(footageIn(inner, depth + 1), std::back_inserter(found));
    return found;
}

} // namespace

FoundFootage findFootage(const std::vector<fs::path>& filesAndFolders)
{
    FoundFootage found;
    const auto take = [&](const fs::path& path) {
        if (std::ranges::find(found.paths, path) == found.paths.end())
            found.paths.push_back(path);
    };
    for (const fs::path& given : inNameOrder(filesAndFolders)) {
        fs::path path = fs::absolute(given).lexically_normal();
        if (!path.has_filename()) // "films/"
            path = path.parent_path();
        std::error_code failed;
        const fs::file_status status = fs::status(path, failed);
        if (!fs::exists(status)) {
            found.problems.push_back(textOf(path) + " isn't there any more; add it from where it is now.");
        } else if (!fs::is_directory(status)) {
            take(path);
        } else {
            const std::vector<fs::path> inside = inNameOrder(footageIn(path, 0));
            if (inside.empty())
                found.problems.push_back("The folder " + textOf(path)
                                         + " holds no footage; add the files themselves if they have unusual names.");
            std::ranges::for_each(inside, take);
        }
    }
    return found;
}

std::vector<fs::path> namedBelow(const fs::path& folder, const fs::path& name, const std::stop_token& stop)
{
    constexpr int mostEntries = 20'000;
    std::vector<fs::path> found, folders{folder};
    int entries = 0;
    for (int depth = 0; depth <= deepest && !folders.empty(); ++depth) {
        std::vector<fs::path> inner;
        for (const fs::path& each : folders) {
            std::error_code failed; // a folder that can't be read holds nothing that could be
            for (fs::directory_iterator entry(each, failed), end; !failed && entry != end; entry.increment(failed)) {
                if (stop.stop_requested())
                    throw core::Cancelled();
                if (++entries > mostEntries)
                    return found;
                std::error_code gone; // meanwhile
                if (entry->path().filename() == name)
                    found.push_back(entry->path());
                if (!isHidden(entry->path()) && entry->is_directory(gone) && !entry->is_symlink(gone))
                    inner.push_back(entry->path());
            }
        }
        folders = std::move(inner);
    }
    return found;
}

const std::vector<std::string>& filmEndings()
{
    static const std::vector<std::string> endings{
        "mp4", "m4v", "mov", "qt",  "avi", "mkv",  "webm", "mts",  "m2ts", "ts",   "mpg", "mpeg", "mxf",  "wmv",
        "asf", "flv", "3gp", "3g2", "y4m", "h264", "264",  "h265", "265",  "hevc", "ogv", "dv",   "insv", "lrv"};
    return endings;
}

} // namespace reading
