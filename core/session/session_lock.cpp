#include "core/session/session_lock.h"
#include "core/error.h"
#include "core/session/durable_file.h"
#include <QFile>
#include <chrono>
#include <fcntl.h>
#include <sys/file.h>
#include <thread>
#include <unistd.h>

namespace session {

namespace {

namespace fs = std::filesystem;

std::string holderOf(const QLockFile& lock)
{
    qint64 process = 0;
    QString host, program;
    if (!lock.getLockInfo(&process, &host, &program))
        return "another program";
    return "process " + std::to_string(process) + (program.isEmpty() ? "" : " (" + program.toStdString() + ")")
           + (host.isEmpty() ? "" : " on " + host.toStdString());
}

/// A lock file that names nobody: whoever made it died before he had written his name, as by a power cut, unless he is
/// about to, or holds it. True when it is gone.
bool takeAwayNameless(const QLockFile& lock, const fs::path& path)
{
    constexpr auto longEnough = std::chrono::milliseconds(100);
    qint64 process = 0;
    QString host, program;
    const auto named = [&] { return lock.getLockInfo(&process, &host, &program); };
    if (named())
        return false;
    std::this_thread::sleep_for(longEnough);
    const Descriptor file(::open(path.c_str(), O_RDWR | O_NOFOLLOW | O_CLOEXEC));
    return file && ::flock(file.get(), LOCK_EX | LOCK_NB) == 0 && !named() && ::unlink(path.c_str()) == 0;
}

} // namespace

fs::path resolved(const fs::path& path)
{
    std::error_code error;
    const fs::path whole = fs::canonical(path, error);
    if (!error)
        return whole;
    const fs::path folder = fs::canonical(fs::absolute(path).parent_path(), error);
    if (error)
        throw core::Error(core::ErrorKind::NotFound, "The folder of " + path.string() + " can't be found: "
                                                         + error.message() + "; choose one that is there.");
    return folder / path.filename();
}

Lock lockSession(const fs::path& sessionPath)
{
    fs::path path = sessionPath;
    path += ".lock";
    Lock lock;
    lock.file = std::make_unique<QLockFile>(QFile::decodeName(path.c_str()));
    lock.file->setStaleLockTime(0); // however long an evening is; a holder that died is found by its process number
    if (lock.file->tryLock(0)
        || (lock.file->error() == QLockFile::LockFailedError && takeAwayNameless(*lock.file, path)
            && lock.file->tryLock(0)))
        return lock;
    if (lock.file->error() == QLockFile::LockFailedError)
        lock.reason = "The session " + sessionPath.filename().string() + " is open elsewhere, by "
                      + holderOf(*lock.file) + "; close it there to change it here (if nobody has it open, delete "
                      + path.string() + ").";
    else
        lock.reason = "The session " + sessionPath.filename().string()
                      + " can't be changed, as nothing can be written in " + sessionPath.parent_path().string()
                      + "; check permissions or save it elsewhere.";
    lock.file.reset();
    return lock;
}

} // namespace session
