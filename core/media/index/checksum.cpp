#include "core/media/index/checksum.h"
#include "core/media/libav/av_handles.h"
#include "core/media/index/packet_table.h"
#include "core/media/index/refusal.h"
#include <QByteArray>
#include <algorithm>
#include <array>
#include <cassert>
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

constexpr std::int64_t shortStretch = 4 << 20; // bytes passed over that are read at once: sound between the pictures
constexpr std::size_t inOneRead = std::size_t{1} << 20;

bool areAlike(const std::filesystem::path& a, const std::filesystem::path& b, const std::stop_token& stop)
{
    std::ifstream first(a, std::ios::binary), second(b, std::ios::binary);
    std::vector<char> one(inOneRead), other(inOneRead);
    while (first && second) {
        if (stop.stop_requested())
            throw core::Cancelled();
        first.read(one.data(), std::ssize(one));
        second.read(other.data(), std::ssize(other));
        if (first.gcount() != second.gcount() || std::memcmp(one.data(), other.data(), first.gcount()) != 0)
            return false;
    }
    return first.eof() && second.eof();
}

} // namespace

struct FootageChecksum::File {
    class Sha256 {
    public:
        Sha256() : m_state(allocated(State(av_sha_alloc()), "a checksum")) { av_sha_init(m_state.get(), 256); }
        void add(const void* bytes, std::size_t count)
        {
            av_sha_update(m_state.get(), static_cast<const std::uint8_t*>(bytes), count);
        }
        std::string hex()
        {
            std::array<char, 32> sum{};
            av_sha_final(m_state.get(), reinterpret_cast<std::uint8_t*>(sum.data()));
            return QByteArray(sum.data(), std::ssize(sum)).toHex().toStdString();
        }

    private:
        struct Free {
            void operator()(AVSHA* state) const noexcept { av_free(state); }
        };
        using State = std::unique_ptr<AVSHA, Free>;
        State m_state;
    };

    explicit File(std::filesystem::path at) : path(std::move(at)), version(versionOf(path)) {}

    /// From `done` to `end`, or as far as the file goes.
    void read(std::int64_t end, const std::stop_token& stop, const std::function<void(std::int64_t)>& each)
    {
        if (!stream.is_open()) {
            // A device goes on for ever, and opening a pipe waits for somebody to write into it.
            std::error_code failed;
            const auto status = std::filesystem::status(path, failed);
            if (std::filesystem::exists(status) && !std::filesystem::is_regular_file(status))
                throw Error(ErrorKind::Unsupported, quoted(path) + " isn't a file that footage could be in.");
            stream.open(path, std::ios::binary);
        }
        if (!stream)
            throw Error(std::filesystem::exists(path) ? ErrorKind::Unreadable : ErrorKind::NotFound,
                        quoted(path) + " can't be opened for its checksum: " + std::strerror(errno) + ".");
        stream.clear();
        stream.seekg(done);
        std::vector<char> block(inOneRead);
        while (stream && done < end) {
            if (stop.stop_requested())
                throw core::Cancelled();
            stream.read(block.data(),
                        static_cast<std::streamsize>(std::min<std::int64_t>(std::ssize(block), end - done)));
            sum.add(block.data(), static_cast<std::size_t>(stream.gcount()));
            done += stream.gcount();
            each(stream.gcount());
        }
        if (stream.bad())
            throw Error(ErrorKind::Unreadable,
                        quoted(path) + " can't be read to its end: " + std::strerror(errno) + ".");
    }

    void beginAnew()
    {
        sum = {};
        done = 0;
        version = versionOf(path);
    }

    std::filesystem::path path;
    FileVersion version;
    std::int64_t done = 0; ///< bytes from the start that the sum has
    Sha256 sum;
    std::string hex;      ///< empty until all of it is summed up
    std::ifstream stream; ///< once something had to be read
};

FootageChecksum::FootageChecksum(std::vector<std::filesystem::path> paths) : m_paths(std::move(paths))
{
    assert(!m_paths.empty());
}

FootageChecksum::~FootageChecksum() = default;

FootageChecksum::File& FootageChecksum::fileAt(const std::filesystem::path& path)
{
    std::unique_ptr<File>& file = m_files[path];
    if (!file)
        file = std::make_unique<File>(path);
    return *file;
}

void FootageChecksum::add(const std::filesystem::path& path, std::int64_t position, std::span<const std::uint8_t> bytes)
{
    File& file = fileAt(path);
    const std::int64_t end = position + std::ssize(bytes);
    if (!file.hex.empty() || end <= file.done || position - file.done > shortStretch)
        return;
    try {
        if (position > file.done)
            file.read(position, {}, [](std::int64_t) {});
    } catch (const Error&) {
        return; // finish() says what is wrong
    }
    if (position > file.done)
        return; // the file is shorter by now
    const auto known = static_cast<std::size_t>(file.done - position);
    file.sum.add(bytes.data() + known, bytes.size() - known);
    file.done = end;
}

std::string FootageChecksum::finish(const std::stop_token& stop, const Progress& progress)
{
    const bool isOneFile = m_paths.size() == 1 && !isFolder(m_paths.front());
    const std::vector<std::filesystem::path> paths = m_paths.size() == 1 ? footageFiles(m_paths.front()) : m_paths;
    std::int64_t total = 0, done = 0;
    for (const auto& path : paths) {
        File& file = fileAt(path);
        if (const auto now = versionOf(path); now != file.version) {
            file.beginAnew();
            file.hex.clear();
        }
        total += file.version.size;
        done += file.done;
    }
    File::Sha256 list;
    std::string hex;
    for (const auto& path : paths) {
        File& file = fileAt(path);
        if (file.hex.empty()) {
            file.read(INT64_MAX, stop, [&](std::int64_t bytes) {
                done += bytes;
                if (progress)
                    progress(done, total);
            });
            file.stream.close();
            if (versionOf(path) != file.version) {
                file.beginAnew();
                throw Error(ErrorKind::AtOdds, quoted(path)
                                                   + " was written to while its checksum was taken; take it "
                                                     "again when the file is finished.");
            }
            file.hex = file.sum.hex();
        }
        hex = file.hex;
        const std::string line = hex + "  " + path.filename().string() + "\n";
        list.add(line.data(), line.size());
    }
    return isOneFile ? hex : list.hex();
}

bool holdSameBytes(const std::filesystem::path& a, const std::filesystem::path& b, const std::stop_token& stop)
{
    if (isFolder(a) != isFolder(b))
        return false;
    try {
        const auto filesOfA = footageFiles(a), filesOfB = footageFiles(b);
        std::error_code failed;
        return std::ranges::equal(filesOfA, filesOfB,
                                  [&](const std::filesystem::path& one, const std::filesystem::path& other) {
                                      const auto size = std::filesystem::file_size(one, failed);
                                      return !failed && size == std::filesystem::file_size(other, failed) && !failed
                                             && (filesOfA.size() == 1 || one.filename() == other.filename());
                                  })
               && std::ranges::equal(filesOfA, filesOfB,
                                     [&](const auto& one, const auto& other) { return areAlike(one, other, stop); });
    } catch (const Error&) {
        return false;
    }
}

} // namespace media
