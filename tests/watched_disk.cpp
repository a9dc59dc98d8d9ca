#include "tests/watched_disk.h"
#include <dlfcn.h>
#include <mutex>
#include <shared_mutex>
#include <string>
#include <unistd.h>

namespace {

std::atomic<WatchedDisk*> watching = nullptr;
std::shared_mutex inUse; // reads hold it, so that none is left when the watch ends

std::filesystem::path fileOf(int descriptor)
{
    std::error_code failed; // pipes and sockets have no path that could be watched
    return std::filesystem::read_symlink("/proc/self/fd/" + std::to_string(descriptor), failed);
}

} // namespace

WatchedDisk::WatchedDisk(std::filesystem::path below, std::function<void(std::int64_t)> before)
    : m_below(std::filesystem::canonical(below)), m_before(std::move(before))
{
    watching = this;
}

WatchedDisk::~WatchedDisk()
{
    watching = nullptr;
    const std::unique_lock none(inUse);
}

bool WatchedDisk::isBelow(const std::filesystem::path& file) const
{
    return file == m_below || file.string().starts_with(m_below.string() + "/");
}

void WatchedDisk::beforeRead(int descriptor)
{
    ++m_reads;
    if (m_before)
        m_before(::lseek(descriptor, 0, SEEK_CUR));
}

/// In the place of the C library's, for every library of the program too.
extern "C" ssize_t read(int descriptor, void* bytes, std::size_t count)
{
    using Read = ssize_t (*)(int, void*, std::size_t);
    static const Read real = reinterpret_cast<Read>(::dlsym(RTLD_NEXT, "read"));
    if (!watching)
        return real(descriptor, bytes, count);
    const std::shared_lock used(inUse);
    WatchedDisk* const disk = watching;
    if (!disk || !disk->isBelow(fileOf(descriptor)))
        return real(descriptor, bytes, count);
    disk->beforeRead(descriptor);
    const ssize_t got = real(descriptor, bytes, count);
    disk->afterRead(got > 0 ? got : 0);
    return got;
}
