#include "core/media/picture/sha256.h"
#include "core/media/index/av_handles.h"
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
        throw Error(ErrorKind::Unreadable,
                    "\"" + path.string() + "\" can't be read to its end: " + std::strerror(errno) + ".");
    return sum.hex();
}

std::int64_t sizeOf(const std::filesystem::path& path)
{
    std::error_code failed; // reading it says why
    const auto size = std::filesystem::file_size(path, failed);
    return failed ? 0 : static_cast<std::int64_t>(size);
}

} // namespace

std::string sha256OfFile(const std::filesystem::path& path, const std::stop_token& stop, const Progress& progress)
{
    std::int64_t done = 0;
    const std::int64_t total = sizeOf(path);
    return fileSha256(path, stop, [&](std::int64_t bytes) {
        done += bytes;
        if (progress)
            progress(done, total);
    });
}

std::string sha256OfList(const std::vector<std::filesystem::path>& files, const std::stop_token& stop,
                         const Progress& progress)
{
    std::int64_t total = 0, done = 0;
    for (const auto& file : files)
        total += sizeOf(file);
    Sha256 sum;
    for (const auto& file : files) {
        const std::string hash = fileSha256(file, stop, [&](std::int64_t bytes) {
            done += bytes;
            if (progress)
                progress(done, total);
        });
        const std::string line = hash + "  " + file.filename().string() + "\n";
        sum.add(line.data(), line.size());
    }
    return sum.hex();
}

} // namespace media
