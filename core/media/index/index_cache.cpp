#include "core/media/index/index_cache.h"
#include "core/error.h"
#include "core/media/picture/byte_hash.h"
#include "core/media/index/index_format.h"
#include "core/media/index/packet_table.h"
#include <algorithm>
#include <atomic>
#include <cassert>
#include <cerrno>
#include <cstdio>
#include <fstream>
#include <unistd.h>

namespace media {
namespace {

namespace fs = std::filesystem;

constexpr const char* indexEnding = ".frameindex";

void addText(ByteHash& hash, const std::string& text)
{
    hash.add(text.size());
    hash.add(text.data(), text.size());
}

/// Eight blocks spread evenly over the file, first and last bytes included.
void addSamples(ByteHash& hash, const fs::path& path, std::int64_t size)
{
    constexpr std::int64_t samples = 8, block = 16384;
    std::ifstream file(path, std::ios::binary);
    std::vector<char> bytes(block);
    for (std::int64_t i = 0; i < samples; ++i) {
        file.seekg(std::max<std::int64_t>(0, size - block) / (samples - 1) * i);
        file.read(bytes.data(), block);
        hash.add(bytes.data(), static_cast<std::size_t>(file.gcount()));
        file.clear();
    }
}

/// What the footage's files look like from outside. Throws std::filesystem::filesystem_error, core::Error.
std::uint64_t fingerprintOf(const fs::path& footage)
{
    ByteHash hash;
    addText(hash, fs::absolute(footage).lexically_normal().string());
    const std::vector<fs::path> files = footageFiles(footage);
    for (std::size_t i = 0; i < files.size(); ++i) {
        const FileVersion version = versionOf(files[i]);
        addText(hash, files[i].filename().string());
        hash.add(static_cast<std::uint64_t>(version.size));
        hash.add(static_cast<std::uint64_t>(version.time));
        if (i == 0 || i + 1 == files.size() || i == files.size() / 2)
            addSamples(hash, files[i], version.size);
    }
    return hash.result();
}

/// Empty when the footage is what opens where no stream is chosen.
std::optional<int> choiceOf(const Footage& footage)
{
    for (const VideoStream& stream : footage.streams)
        if (stream.index == footage.streamIndex && !stream.isDefault)
            return stream.index;
    return std::nullopt;
}

std::string hex(std::uint64_t value)
{
    char text[17];
    std::snprintf(text, sizeof text, "%016llx", static_cast<unsigned long long>(value));
    return text;
}

} // namespace

IndexCache::IndexCache(fs::path folder, std::int64_t mostBytes) : m_folder(std::move(folder)), m_mostBytes(mostBytes) {}

fs::path IndexCache::entryFor(const fs::path& footage, std::optional<int> stream) const
{
    ByteHash hash;
    addText(hash, fs::absolute(footage).lexically_normal().string());
    if (stream)
        hash.add(static_cast<std::uint64_t>(*stream));
    return m_folder / (hex(hash.result()) + indexEnding);
}

std::shared_ptr<const Footage> IndexCache::load(const fs::path& footage, std::optional<int> stream) const
{
    // The default stream has one entry, whether it was chosen or not.
    const auto found = loadEntry(footage, std::nullopt);
    return !stream || (found && found->streamIndex == *stream) ? found : loadEntry(footage, stream);
}

std::shared_ptr<Footage> IndexCache::loadEntry(const fs::path& footage, std::optional<int> stream) const
{
    std::ifstream file(entryFor(footage, stream), std::ios::binary | std::ios::ate);
    if (!file)
        return nullptr;
    std::string bytes(static_cast<std::size_t>(file.tellg()), '\0');
    file.seekg(0);
    if (!file.read(bytes.data(), static_cast<std::streamsize>(bytes.size())))
        return nullptr;
    std::shared_ptr<Footage> found;
    try {
        found = readIndex(bytes, fingerprintOf(footage));
    } catch (const fs::filesystem_error&) { // opening it anew says what is wrong with the footage
        return nullptr;
    } catch (const core::Error&) {
        return nullptr;
    }
    if (found)
        found->path = footage;
    return found;
}

void IndexCache::store(const Footage& footage) const
{
    static std::atomic<int> next = 0;
    assert(footage.confirmed);
    const fs::path entry = entryFor(footage.path, choiceOf(footage));
    const fs::path unfinished =
        entry.string() + "." + std::to_string(::getpid()) + "." + std::to_string(next++) + ".part";
    const auto giveUp = [&](const std::string& reason) {
        std::error_code ignored; // the first failure is the one to report
        fs::remove(unfinished, ignored);
        throw core::Error(core::ErrorKind::WriteFailed, "The frame index of \"" + footage.path.string()
                                                            + "\" can't be kept in \"" + m_folder.string()
                                                            + "\": " + reason + ".");
    };
    try {
        // Then the fingerprint would vouch for what wasn't read. Of a folder only the files' own decoding could tell.
        if (!footage.pictureFolder && versionOf(footage.path) != footage.packets->file)
            giveUp("it has changed since it was read");
        const std::string bytes = writeIndex(footage, fingerprintOf(footage.path));
        fs::create_directories(m_folder);
        std::ofstream file(unfinished, std::ios::binary | std::ios::trunc);
        file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        file.close();
        if (!file)
            giveUp(std::strerror(errno));
        fs::rename(unfinished, entry);
        prune();
    } catch (const fs::filesystem_error& error) {
        giveUp(error.code().message());
    }
}

void IndexCache::prune() const
{
    struct Entry {
        fs::file_time_type written;
        std::int64_t bytes;
        fs::path path;
    };
    std::vector<Entry> entries;
    std::int64_t total = 0;
    for (const auto& item : fs::directory_iterator(m_folder)) {
        std::error_code gone; // another program may prune at the same time
        if (item.path().extension() != indexEnding)
            continue;
        const auto size = static_cast<std::int64_t>(item.file_size(gone));
        const auto written = item.last_write_time(gone);
        if (gone)
            continue;
        entries.push_back({written, size, item.path()});
        total += size;
    }
    std::ranges::sort(entries, std::ranges::greater(), &Entry::written);
    for (; total > m_mostBytes && entries.size() > 1; entries.pop_back()) {
        std::error_code gone;
        fs::remove(entries.back().path, gone);
        total -= entries.back().bytes;
    }
}

} // namespace media
