#include "fault_vfs.h"
#include <sqlite3.h>
#include <QByteArray>
#include <QFile>
#include <map>
#include <mutex>
#include <unistd.h>

namespace fault {

namespace {

sqlite3_vfs* below = nullptr;
Kind kind = Kind::None;
long failAt = 0, count = 0;
bool done = false;
std::recursive_mutex mutex;

/// What a power cut leaves of each file: as it was synced last; a file that never was is gone.
std::map<std::string, std::optional<QByteArray>> synced;

struct File {
    sqlite3_file base;
    sqlite3_file* real;
    std::string* path;
};
File* of(sqlite3_file* file) { return reinterpret_cast<File*>(file); }

QByteArray contents(const std::string& path)
{
    QFile file(QString::fromStdString(path));
    return file.open(QIODevice::ReadOnly) ? file.readAll() : QByteArray();
}

[[noreturn]] void cutPower()
{
    for (const auto& [path, bytes] : synced) {
        if (!bytes) {
            ::unlink(path.c_str());
            continue;
        }
        QFile file(QString::fromStdString(path));
        if (file.open(QIODevice::WriteOnly | QIODevice::Truncate))
            file.write(*bytes);
    }
    ::_exit(9);
}

enum class Call { Read, Write, Sync, Other };

/// SQLITE_OK, or what the call is to give back.
int step(Call call)
{
    const std::lock_guard lock(mutex);
    ++count;
    const bool due = count >= failAt && failAt > 0;
    if (!due || (done && kind != Kind::StaysFull))
        return SQLITE_OK;
    switch (kind) {
    case Kind::None: return SQLITE_OK;
    case Kind::Kill: ::_exit(9);
    case Kind::PowerCut: cutPower();
    case Kind::Io: done = true; return call == Call::Read ? SQLITE_IOERR_READ : SQLITE_IOERR_WRITE;
    case Kind::Full:
    case Kind::StaysFull:
        if (call != Call::Write)
            return SQLITE_OK;
        done = true;
        return SQLITE_FULL;
    case Kind::Short:
        if (call != Call::Write)
            return SQLITE_OK;
        done = true;
        return SQLITE_IOERR_WRITE;
    case Kind::Sync:
        if (call != Call::Sync)
            return SQLITE_OK;
        done = true;
        return SQLITE_IOERR_FSYNC;
    }
    return SQLITE_OK;
}

int closeFile(sqlite3_file* file)
{
    const int code = of(file)->real->pMethods ? of(file)->real->pMethods->xClose(of(file)->real) : SQLITE_OK;
    sqlite3_free(of(file)->real);
    delete of(file)->path;
    return code;
}
int readFile(sqlite3_file* file, void* to, int bytes, sqlite3_int64 at)
{
    if (const int wrong = step(Call::Read))
        return wrong;
    return of(file)->real->pMethods->xRead(of(file)->real, to, bytes, at);
}
int writeFile(sqlite3_file* file, const void* from, int bytes, sqlite3_int64 at)
{
    if (const int wrong = step(Call::Write)) {
        if (kind == Kind::Short)
            of(file)->real->pMethods->xWrite(of(file)->real, from, bytes / 2, at);
        return wrong;
    }
    return of(file)->real->pMethods->xWrite(of(file)->real, from, bytes, at);
}
int truncateFile(sqlite3_file* file, sqlite3_int64 bytes)
{
    if (const int wrong = step(Call::Other))
        return wrong;
    return of(file)->real->pMethods->xTruncate(of(file)->real, bytes);
}
int syncFile(sqlite3_file* file, int flags)
{
    if (const int wrong = step(Call::Sync))
        return wrong;
    const int code = of(file)->real->pMethods->xSync(of(file)->real, flags);
    if (kind == Kind::PowerCut && of(file)->path) {
        const std::lock_guard lock(mutex);
        synced[*of(file)->path] = contents(*of(file)->path);
    }
    return code;
}
int fileSize(sqlite3_file* file, sqlite3_int64* bytes)
{
    return of(file)->real->pMethods->xFileSize(of(file)->real, bytes);
}
int lockFile(sqlite3_file* file, int level) { return of(file)->real->pMethods->xLock(of(file)->real, level); }
int unlockFile(sqlite3_file* file, int level) { return of(file)->real->pMethods->xUnlock(of(file)->real, level); }
int reserved(sqlite3_file* file, int* is) { return of(file)->real->pMethods->xCheckReservedLock(of(file)->real, is); }
int control(sqlite3_file* file, int what, void* with)
{
    return of(file)->real->pMethods->xFileControl(of(file)->real, what, with);
}
int sector(sqlite3_file* file) { return of(file)->real->pMethods->xSectorSize(of(file)->real); }
int traits(sqlite3_file* file) { return of(file)->real->pMethods->xDeviceCharacteristics(of(file)->real); }

const sqlite3_io_methods methods = {1,        closeFile,  readFile, writeFile, truncateFile, syncFile, fileSize,
                                    lockFile, unlockFile, reserved, control,   sector,       traits,   nullptr,
                                    nullptr,  nullptr,    nullptr,  nullptr,   nullptr};

int openFile(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* got)
{
    file->pMethods = nullptr;
    if (step(Call::Other))
        return SQLITE_CANTOPEN;
    of(file)->real = static_cast<sqlite3_file*>(sqlite3_malloc(below->szOsFile));
    if (kind == Kind::PowerCut && name) {
        const std::lock_guard lock(mutex);
        if (QFile::exists(QString::fromUtf8(name)))
            synced.try_emplace(name, contents(name));
        else
            synced.try_emplace(name, std::nullopt);
    }
    const int code = below->xOpen(below, name, of(file)->real, flags, got);
    if (code != SQLITE_OK) {
        sqlite3_free(of(file)->real);
        return code;
    }
    of(file)->path = name ? new std::string(name) : nullptr;
    file->pMethods = &methods;
    return SQLITE_OK;
}
int deleteFile(sqlite3_vfs*, const char* name, int syncFolder)
{
    if (step(Call::Other))
        return SQLITE_IOERR_DELETE;
    const int code = below->xDelete(below, name, syncFolder);
    const std::lock_guard lock(mutex);
    if (syncFolder && code == SQLITE_OK)
        synced.erase(name); // else a power cut brings it back
    return code;
}
int access(sqlite3_vfs*, const char* name, int flags, int* is) { return below->xAccess(below, name, flags, is); }
int fullPath(sqlite3_vfs*, const char* name, int most, char* to) { return below->xFullPathname(below, name, most, to); }
int randomness(sqlite3_vfs*, int most, char* to) { return below->xRandomness(below, most, to); }
int sleepFor(sqlite3_vfs*, int microseconds) { return below->xSleep(below, microseconds); }
int now(sqlite3_vfs*, double* day) { return below->xCurrentTime(below, day); }
int lastError(sqlite3_vfs*, int most, char* to) { return below->xGetLastError(below, most, to); }

} // namespace

void begin(Kind what, long at)
{
    kind = what;
    failAt = at;
    below = sqlite3_vfs_find(nullptr);
    static sqlite3_vfs layer{};
    layer.iVersion = 1;
    layer.szOsFile = sizeof(File);
    layer.mxPathname = below->mxPathname;
    layer.zName = "fault";
    layer.xOpen = openFile;
    layer.xDelete = deleteFile;
    layer.xAccess = access;
    layer.xFullPathname = fullPath;
    layer.xRandomness = randomness;
    layer.xSleep = sleepFor;
    layer.xCurrentTime = now;
    layer.xGetLastError = lastError;
    sqlite3_vfs_register(&layer, 1);
}

long calls() { return count; }
bool happened() { return done; }

} // namespace fault
