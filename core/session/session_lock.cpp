#include "core/session/session_lock.h"
#include "core/error.h"
#include <QFile>
#include <QLockFile>

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

Lock::Lock() = default;
Lock::Lock(Lock&&) noexcept = default;
Lock& Lock::operator=(Lock&&) noexcept = default;
Lock::~Lock() = default;

Lock lockSession(const fs::path& sessionPath)
{
    fs::path path = sessionPath;
    path += ".lock";
    Lock lock;
    lock.file = std::make_unique<QLockFile>(QFile::decodeName(path.c_str()));
    lock.file->setStaleLockTime(0); // however long an evening is; a holder that died is found by its process number
    if (lock.file->tryLock(0))
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
