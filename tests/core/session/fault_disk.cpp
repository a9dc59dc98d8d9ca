#undef _FORTIFY_SOURCE // its own stand-ins of these calls are in the way of ours
#include "fault_disk.h"
#include <cerrno>
#include <cstdarg>
#include <cstdlib>
#include <dlfcn.h>
#include <fcntl.h>
#include <fstream>
#include <iterator>
#include <map>
#include <mutex>
#include <string>
#include <sys/stat.h>
#include <sys/uio.h>
#include <unistd.h>

namespace fault {
namespace {

namespace fs = std::filesystem;

bool watching = false;
thread_local bool own = false;     ///< calls that this layer makes itself
thread_local bool counted = false; ///< a call on what is watched
Kind kind = Kind::None;
long failAt = 0, count = 0;
bool done = false;
int half = 0; ///< of a short write: 1 due, 2 the next one fails
std::string folder;
std::recursive_mutex mutex;

/// What is on the disk for certain, by inode.
struct Names {
    std::map<std::string, ino_t> entries;
};
std::map<ino_t, std::string> contents;
std::map<ino_t, Names> folders;
ino_t root = 0;

struct Own {
    Own() { own = true; }
    ~Own() { own = false; }
};

template <class F> F real(const char* name) { return reinterpret_cast<F>(::dlsym(RTLD_NEXT, name)); }

bool isPowerCut() { return kind == Kind::PowerCut || kind == Kind::PowerCutWithNames; }

bool isBelow(const std::string& path) { return (path + "/").starts_with(folder); } // the folder itself, too
bool isBelow(int descriptor)
{
    std::error_code failed; // pipes have no path that is watched
    return isBelow(fs::read_symlink("/proc/self/fd/" + std::to_string(descriptor), failed).string());
}

std::string bytesOf(const fs::path& path)
{
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

ino_t inodeOf(const fs::path& path)
{
    struct stat status {};
    return ::lstat(path.c_str(), &status) == 0 ? status.st_ino : 0;
}

void noteNames(const fs::path& path)
{
    Names names;
    for (const fs::directory_entry& entry : fs::directory_iterator(path)) {
        names.entries[entry.path().filename().string()] = inodeOf(entry.path());
        if (entry.is_directory())
            folders.try_emplace(inodeOf(entry.path())); // empty until it is synced itself
    }
    folders[inodeOf(path)] = std::move(names);
}

void noteAll(const fs::path& path, bool withContents)
{
    noteNames(path);
    for (const fs::directory_entry& entry : fs::directory_iterator(path)) {
        if (entry.is_directory())
            noteAll(entry.path(), withContents);
        else if (withContents)
            contents[inodeOf(entry.path())] = bytesOf(entry.path());
    }
}

void restore(const fs::path& path, ino_t inode)
{
    fs::create_directory(path);
    for (const auto& [name, entry] : folders[inode].entries) {
        if (folders.contains(entry))
            restore(path / name, entry);
        else
            std::ofstream(path / name, std::ios::binary) << contents[entry]; // empty where it never was synced
    }
}

[[noreturn]] void cutPower()
{
    const Own mine;
    const fs::path all = folder.substr(0, folder.size() - 1);
    if (kind == Kind::PowerCutWithNames)
        noteAll(all, false);
    for (const fs::directory_entry& entry : fs::directory_iterator(all))
        fs::remove_all(entry.path());
    restore(all, root);
    ::_exit(9);
}

enum class Call { Read, Write, Sync, Name };

/// 0, or the error that the call is to give back.
int step(Call call)
{
    ++count;
    if (half == 2 && call == Call::Write) {
        half = 0;
        return EIO;
    }
    const bool due = failAt > 0 && count >= failAt;
    if (!due || (done && kind != Kind::StaysFull))
        return 0;
    switch (kind) {
    case Kind::None: return 0;
    case Kind::Kill: ::_exit(9);
    case Kind::PowerCut:
    case Kind::PowerCutWithNames: cutPower();
    case Kind::Io: done = true; return EIO;
    case Kind::Full:
    case Kind::StaysFull:
        if (call != Call::Write)
            return 0;
        done = true;
        return ENOSPC;
    case Kind::Short:
        if (call == Call::Write) {
            done = true;
            half = 1;
        }
        return 0;
    case Kind::Sync:
        if (call != Call::Sync)
            return 0;
        done = true;
        return EIO;
    }
    return 0;
}

/// Keeps the inode of what is about to lose its name, so that no new file gets its number.
void hold(const char* path)
{
    if (isPowerCut() && ::access(path, F_OK) == 0)
        real<int (*)(const char*, int, ...)>("open")(path, O_PATH | O_NOFOLLOW | O_CLOEXEC);
}

/// Counts, then calls `go` or fails. Everything runs one after the other, so that a power cut is one moment.
template <class Watched, class Go> auto call(Watched watched, Call what, Go go) -> decltype(go())
{
    if (!watching || own)
        return go();
    const std::lock_guard lock(mutex);
    const Own mine;
    if (!watched())
        return go();
    if (const int error = step(what)) {
        errno = error;
        return -1;
    }
    counted = true;
    const auto result = go();
    counted = false;
    return result;
}

std::size_t bytesNow(std::size_t wanted)
{
    if (!counted || half != 1 || wanted < 2)
        return wanted;
    half = 2;
    return wanted / 2;
}

int sync(int descriptor, const char* name)
{
    return call([=] { return isBelow(descriptor); }, Call::Sync,
                [=]() -> int {
                    if (!watching || !isBelow(descriptor))
                        return real<int (*)(int)>(name)(descriptor);
                    if (!isPowerCut())
                        return 0;
                    struct stat status {};
                    ::fstat(descriptor, &status);
                    const fs::path path = fs::read_symlink("/proc/self/fd/" + std::to_string(descriptor));
                    if (S_ISDIR(status.st_mode))
                        noteNames(path);
                    else
                        contents[status.st_ino] = bytesOf(path);
                    return 0;
                });
}

int opened(const char* name, const char* path, int flags, mode_t mode)
{
    const auto go = [=] { return real<int (*)(const char*, int, ...)>(name)(path, flags, mode); };
    return call([=] { return isBelow(path); }, (flags & O_CREAT) != 0 ? Call::Write : Call::Name, go);
}

} // namespace

void begin(Kind what, long at, const fs::path& below)
{
    kind = what;
    failAt = at;
    folder = fs::canonical(below).string() + "/";
    root = inodeOf(below);
    if (isPowerCut())
        noteAll(fs::canonical(below), true);
    watching = true;
}

long calls() { return count; }
bool happened() { return done; }

} // namespace fault

using namespace fault;

extern "C" {

int open(const char* path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    const mode_t mode = (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    return opened("open", path, flags, mode);
}
int open64(const char* path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    const mode_t mode = (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    return opened("open64", path, flags, mode);
}
ssize_t read(int file, void* to, std::size_t bytes)
{
    return call([=] { return isBelow(file); }, Call::Read,
                [=] { return real<ssize_t (*)(int, void*, std::size_t)>("read")(file, to, bytes); });
}
ssize_t pread(int file, void* to, std::size_t bytes, off_t at)
{
    return call([=] { return isBelow(file); }, Call::Read,
                [=] { return real<ssize_t (*)(int, void*, std::size_t, off_t)>("pread")(file, to, bytes, at); });
}
ssize_t pread64(int file, void* to, std::size_t bytes, off64_t at) { return pread(file, to, bytes, at); }
ssize_t write(int file, const void* from, std::size_t bytes)
{
    return call([=] { return isBelow(file); }, Call::Write,
                [=] { return real<ssize_t (*)(int, const void*, std::size_t)>("write")(file, from, bytesNow(bytes)); });
}
ssize_t writev(int file, const struct iovec* parts, int count)
{
    return call([=] { return isBelow(file); }, Call::Write,
                [=]() -> ssize_t {
                    if (bytesNow(2) == 1) // of several pieces the first
                        return real<ssize_t (*)(int, const void*, std::size_t)>("write")(file, parts[0].iov_base,
                                                                                         parts[0].iov_len);
                    return real<ssize_t (*)(int, const struct iovec*, int)>("writev")(file, parts, count);
                });
}
ssize_t pwrite(int file, const void* from, std::size_t bytes, off_t at)
{
    return call([=] { return isBelow(file); }, Call::Write,
                [=] {
                    return real<ssize_t (*)(int, const void*, std::size_t, off_t)>("pwrite")(file, from,
                                                                                             bytesNow(bytes), at);
                });
}
ssize_t pwrite64(int file, const void* from, std::size_t bytes, off64_t at) { return pwrite(file, from, bytes, at); }
int fsync(int file) { return sync(file, "fsync"); }
int fdatasync(int file) { return sync(file, "fdatasync"); }
int ftruncate(int file, off_t bytes) noexcept
{
    return call([=] { return isBelow(file); }, Call::Write,
                [=] { return real<int (*)(int, off_t)>("ftruncate")(file, bytes); });
}
int ftruncate64(int file, off64_t bytes) noexcept { return ftruncate(file, bytes); }
int rename(const char* from, const char* to) noexcept
{
    return call([=] { return isBelow(to); }, Call::Name,
                [=] {
                    hold(to);
                    return real<int (*)(const char*, const char*)>("rename")(from, to);
                });
}
int link(const char* from, const char* to) noexcept
{
    return call([=] { return isBelow(to); }, Call::Write,
                [=] { return real<int (*)(const char*, const char*)>("link")(from, to); });
}
int unlink(const char* path) noexcept
{
    return call([=] { return isBelow(path); }, Call::Name,
                [=] {
                    hold(path);
                    return real<int (*)(const char*)>("unlink")(path);
                });
}
int remove(const char* path) noexcept
{
    return call([=] { return isBelow(path); }, Call::Name,
                [=] {
                    hold(path);
                    return real<int (*)(const char*)>("remove")(path);
                });
}
int mkdir(const char* path, mode_t mode) noexcept
{
    return call([=] { return isBelow(path); }, Call::Write,
                [=] { return real<int (*)(const char*, mode_t)>("mkdir")(path, mode); });
}

} // extern "C"
