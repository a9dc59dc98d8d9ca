#include "core/media/footage.h"
#include "core/media/index_cache.h"
#include "core/media/packet_scan.h"
#include "core/media/picture_folder.h"
#include "core/media/video_index.h"
#include <array>
#include <cerrno>
#include <cstring>
#include <fstream>

extern "C" {
#include <libavutil/mem.h>
#include <libavutil/sha.h>
}

namespace media {
namespace {

using core::Error;
using core::ErrorKind;

class Sha256 {
public:
    Sha256() : m_state(allocated(State(av_sha_alloc()), "a checksum")) { av_sha_init(m_state.get(), 256); }
    void add(const void* bytes, std::size_t count)
    {
        av_sha_update(m_state.get(), static_cast<const std::uint8_t*>(bytes), count);
    }
    std::string hex()
    {
        std::array<std::uint8_t, 32> sum{};
        av_sha_final(m_state.get(), sum.data());
        std::string text;
        for (const std::uint8_t byte : sum) {
            constexpr char digits[] = "0123456789abcdef";
            text += digits[byte >> 4];
            text += digits[byte & 15];
        }
        return text;
    }

private:
    struct Free {
        void operator()(AVSHA* state) const noexcept { av_free(state); }
    };
    using State = std::unique_ptr<AVSHA, Free>;
    State m_state;
};

std::string fileSha256(const std::filesystem::path& path, const std::stop_token& stop,
                       const std::function<void(std::int64_t bytes)>& read)
{
    std::ifstream file(path, std::ios::binary);
    if (!file)
        throw Error(std::filesystem::exists(path) ? ErrorKind::Unreadable : ErrorKind::NotFound,
                    "\"" + path.string() + "\" can't be opened for its checksum: " + std::strerror(errno) + ".");
    Sha256 sum;
    std::vector<char> block(std::size_t{1} << 20);
    while (file) {
        if (stop.stop_requested())
            throw core::Cancelled();
        file.read(block.data(), static_cast<std::streamsize>(block.size()));
        sum.add(block.data(), static_cast<std::size_t>(file.gcount()));
        read(file.gcount());
    }
    if (file.bad())
        throw Error(ErrorKind::Unreadable, "\"" + path.string() + "\" can't be read to its end: " + std::strerror(errno) + ".");
    return sum.hex();
}

bool isFolder(const std::filesystem::path& path)
{
    std::error_code failed; // then opening it as a file says why
    return std::filesystem::is_directory(path, failed);
}

std::shared_ptr<const Footage> fromCache(const std::filesystem::path& path, const OpenOptions& options)
{
    return options.cacheFolder.empty() ? nullptr : IndexCache(options.cacheFolder).load(path, options.stream);
}

} // namespace

std::shared_ptr<const Footage> indexed(const std::filesystem::path& path, std::optional<int> stream, std::stop_token stop,
                                       const IndexEvents& events)
{
    return isFolder(path) ? indexFolder(path, std::move(stop), events) : indexVideo(path, stream, std::move(stop), events);
}

std::shared_ptr<const Footage> kept(std::shared_ptr<const Footage> footage, const std::filesystem::path& cacheFolder)
{
    if (cacheFolder.empty())
        return footage;
    try {
        IndexCache(cacheFolder).store(*footage);
    } catch (const Error& error) {
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

std::shared_ptr<const Footage> openFootage(const std::filesystem::path& path, std::stop_token stop, const Progress& progress,
                                           const OpenOptions& options)
{
    if (auto known = fromCache(path, options))
        return known;
    return kept(indexed(path, options.stream, std::move(stop), {progress, {}}), options.cacheFolder);
}

std::shared_ptr<const Footage> openFootage(const std::filesystem::path& path, std::stop_token stop, const Progress& progress,
                                           const std::filesystem::path& cacheFolder)
{
    return openFootage(path, std::move(stop), progress, OpenOptions{std::nullopt, cacheFolder});
}

std::shared_ptr<const Footage> scanFootage(const std::filesystem::path& path, std::stop_token stop, const Progress& progress,
                                           const OpenOptions& options)
{
    if (auto known = fromCache(path, options))
        return known;
    std::shared_ptr<const Footage> scanned;
    try {
        scanned = isFolder(path) ? scanFolder(path) : scanPackets(path, options.stream, stop, progress);
    } catch (const core::Error&) {
        if (!isFolder(path))
            throw;
        // The first picture can't be decoded; looking at all of them tells which can.
    }
    return scanned ? scanned : openFootage(path, std::move(stop), progress, options);
}

std::vector<std::filesystem::path> footageFiles(const std::filesystem::path& path)
{
    std::error_code failed;
    if (!std::filesystem::is_directory(path, failed))
        return {path};
    std::vector<std::filesystem::path> files;
    for (const auto& file : findSeries(path).files)
        files.push_back(file.path);
    return files;
}

std::string footageSha256(const std::filesystem::path& path, std::stop_token stop, const Progress& progress)
{
    const std::vector<std::filesystem::path> files = footageFiles(path);
    std::int64_t total = 0, done = 0;
    for (const auto& file : files) {
        std::error_code failed; // reading it says why
        const auto size = std::filesystem::file_size(file, failed);
        total += failed ? 0 : static_cast<std::int64_t>(size);
    }
    const auto read = [&](std::int64_t bytes) {
        done += bytes;
        if (progress)
            progress(done, total);
    };
    std::error_code failed;
    if (!std::filesystem::is_directory(path, failed))
        return fileSha256(path, stop, read);

    Sha256 sum;
    for (const auto& file : files) {
        const std::string line = fileSha256(file, stop, read) + "  " + file.filename().string() + "\n";
        sum.add(line.data(), line.size());
    }
    return sum.hex();
}

} // namespace media
