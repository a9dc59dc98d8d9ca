#include "core/media/index/footage.h"
#include "core/media/index/checksum.h"
#include "core/media/index/index_cache.h"
#include "core/media/index/packet_scan.h"
#include "core/media/index/picture_folder.h"
#include "core/media/index/video_index.h"

namespace media {
namespace {

std::shared_ptr<const Footage> fromCache(const std::filesystem::path& path, const OpenOptions& options)
{
    return options.cacheFolder.empty() ? nullptr : IndexCache(options.cacheFolder).load(path, options.stream);
}

} // namespace

bool isFolder(const std::filesystem::path& path)
{
    std::error_code failed;
    return std::filesystem::is_directory(path, failed);
}

std::shared_ptr<const Footage> indexByDecoding(const std::filesystem::path& path, std::optional<int> stream,
                                               std::stop_token stop, const IndexEvents& events)
{
    return isFolder(path) ? indexFolder(path, std::move(stop), events)
                          : indexVideo(path, stream, std::move(stop), events);
}

std::shared_ptr<const Footage> keepIndex(std::shared_ptr<const Footage> footage,
                                         const std::filesystem::path& cacheFolder)
{
    if (cacheFolder.empty())
        return footage;
    try {
        IndexCache(cacheFolder).store(*footage);
    } catch (const core::Error& error) {
        auto noted = std::make_shared<Footage>(*footage);
        noted->cacheFault = error.what();
        return noted;
    }
    return footage;
}

std::vector<timing::FrameNumber> Footage::keyFrames() const
{
    std::vector<timing::FrameNumber> entries;
    for (std::size_t n = 0; n < frames.size(); ++n)
        if (frames[n].cleanEntry)
            entries.push_back({static_cast<std::int64_t>(n)});
    return entries;
}

std::shared_ptr<const Footage> openFootage(const std::filesystem::path& path, std::stop_token stop,
                                           const Progress& progress, const OpenOptions& options)
{
    if (auto known = fromCache(path, options))
        return known;
    return keepIndex(indexByDecoding(path, options.stream, std::move(stop), {progress, {}}), options.cacheFolder);
}

std::shared_ptr<const Footage> scanFootage(const std::filesystem::path& path, std::stop_token stop,
                                           const Progress& progress, const OpenOptions& options)
{
    if (auto known = fromCache(path, options))
        return known;
    std::shared_ptr<const Footage> scanned;
    try {
        scanned = isFolder(path) ? scanFolder(path, stop) : scanPackets(path, options.stream, stop, progress);
    } catch (const core::Error&) {
        if (!isFolder(path))
            throw;
        // The first picture can't be decoded; looking at all of them tells which can.
    }
    return scanned ? scanned : openFootage(path, std::move(stop), progress, options);
}

std::vector<std::filesystem::path> footageFiles(const std::filesystem::path& path)
{
    if (!isFolder(path))
        return {path};
    std::vector<std::filesystem::path> files;
    for (const auto& file : findSeries(path).files)
        files.push_back(file.path);
    return files;
}

std::string partsSha256(const std::vector<std::filesystem::path>& paths, std::stop_token stop, const Progress& progress)
{
    return FootageChecksum(paths).finish(stop, progress);
}

} // namespace media
