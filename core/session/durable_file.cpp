#include "core/session/durable_file.h"
#include "core/error.h"
#include <atomic>
#include <cerrno>
#include <fcntl.h>
#include <optional>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace session {

namespace {

std::string reason(int error) { return std::generic_category().message(error); }

[[noreturn]] void failWriting(const std::string& doing, const std::filesystem::path& path, int error)
{
    throw core::Error(core::ErrorKind::WriteFailed, doing + " " + path.string() + " failed: " + reason(error)
                                                        + "; check free space and permissions.");
}

/// Permissions of the file to be replaced; what the system gives new files when there is none.
std::optional<mode_t> permissionsOf(const std::filesystem::path& path)
{
    struct stat status {};
    if (::stat(path.c_str(), &status) != 0)
        return std::nullopt;
    return status.st_mode & 07777;
}

std::filesystem::path asidePath(const std::filesystem::path& path)
{
    for (int i = 1;; ++i) {
        std::filesystem::path aside = path;
        aside += i == 1 ? std::string(".set-aside") : ".set-aside-" + std::to_string(i);
        if (!std::filesystem::exists(std::filesystem::symlink_status(aside)))
            return aside;
    }
}

} // namespace

Descriptor& Descriptor::operator=(Descriptor&& other) noexcept
{
    std::swap(m_fd, other.m_fd);
    return *this;
}

Descriptor::~Descriptor()
{
    if (m_fd >= 0)
        ::close(m_fd);
}

Descriptor openForReading(const std::filesystem::path& path)
{
    // Without O_NONBLOCK a named pipe in place of the file would hang us.
    Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
    if (!file)
        throw core::Error(errno == ENOENT ? core::ErrorKind::NotFound : core::ErrorKind::Unreadable,
                          "The file " + path.string() + " can't be opened: " + reason(errno) + ".");
    struct stat status {};
    if (::fstat(file.get(), &status) != 0 || !S_ISREG(status.st_mode))
        throw core::Error(core::ErrorKind::Unreadable, path.string() + " isn't a file.");
    return file;
}

std::int64_t readSome(const Descriptor& file, QByteArray& block, const std::filesystem::path& path)
{
    for (;;) {
        const ssize_t count = ::read(file.get(), block.data(), static_cast<std::size_t>(block.size()));
        if (count >= 0)
            return count;
        if (errno != EINTR)
            throw core::Error(core::ErrorKind::Unreadable,
                              "Reading " + path.string() + " failed: " + reason(errno) + ".");
    }
}

QByteArray readFile(const std::filesystem::path& path, std::int64_t limit)
{
    const Descriptor file = openForReading(path);
    QByteArray bytes;
    QByteArray chunk(1 << 16, Qt::Uninitialized);
    while (const std::int64_t count = readSome(file, chunk, path)) {
        bytes.append(chunk.constData(), count);
        if (bytes.size() > limit)
            throw core::Error(core::ErrorKind::Malformed, "The file " + path.string() + " is longer than the "
                                                              + std::to_string(limit)
                                                              + " bytes that are read at most.");
    }
    return bytes;
}

void writeAt(const Descriptor& file, std::int64_t offset, const QByteArray& bytes, const std::filesystem::path& path)
{
    qsizetype done = 0;
    while (done < bytes.size()) {
        const ssize_t count = ::pwrite(file.get(), bytes.constData() + done,
                                       static_cast<std::size_t>(bytes.size() - done), offset + done);
        if (count < 0 && errno != EINTR)
            failWriting("Writing", path, errno);
        if (count > 0)
            done += count;
    }
}

void syncFile(const Descriptor& file, const std::filesystem::path& path)
{
    if (::fdatasync(file.get()) != 0)
        failWriting("Bringing to the disk", path, errno);
}

void syncFolder(const std::filesystem::path& folder)
{
    const Descriptor opened(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    // Some file systems can't sync a folder and say so by EINVAL; there is nothing better to be had there.
    if (!opened || (::fsync(opened.get()) != 0 && errno != EINVAL))
        failWriting("Bringing to the disk", folder, errno);
}

void makeFolders(const std::filesystem::path& folder)
{
    std::vector<std::filesystem::path> made;
    std::error_code error;
    for (std::filesystem::path at = std::filesystem::absolute(folder).lexically_normal();
         !std::filesystem::exists(at, error) && !error && at.has_relative_path(); at = at.parent_path())
        made.push_back(at.has_filename() ? at : at.parent_path());
    std::filesystem::create_directories(folder, error);
    if (error || !std::filesystem::is_directory(folder, error))
        failWriting("Making the folder", folder, error ? error.value() : ENOTDIR);
    for (const std::filesystem::path& each : made)
        syncFolder(each.parent_path());
}

Replacement::Replacement(std::filesystem::path path, const QByteArray& bytes) : m_path(std::move(path))
{
    static std::atomic<int> count = 0; // several threads may write into one folder
    m_temporary = m_path;
    m_temporary += ".writing-" + std::to_string(::getpid()) + "-" + std::to_string(++count);
    const Descriptor file(::open(m_temporary.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666));
    if (!file)
        failWriting("Writing", m_path, errno);
    try {
        const auto permissions = permissionsOf(m_path);
        if (permissions && ::fchmod(file.get(), *permissions) != 0)
            failWriting("Setting permissions of", m_path, errno);
        writeAt(file, 0, bytes, m_path);
        syncFile(file, m_path);
    } catch (...) {
        ::unlink(m_temporary.c_str());
        throw;
    }
}

Replacement::~Replacement()
{
    if (!m_committed)
        ::unlink(m_temporary.c_str());
}

void Replacement::place()
{
    if (::rename(m_temporary.c_str(), m_path.c_str()) != 0)
        failWriting("Replacing", m_path, errno);
    m_committed = true;
}

void Replacement::commit()
{
    place();
    syncFolder(m_path.parent_path());
}

void Replacements::add(const std::filesystem::path& path, const QByteArray& bytes)
{
    if (std::filesystem::is_directory(std::filesystem::symlink_status(path)))
        failWriting("Replacing", path, EISDIR);
    m_files.push_back(std::make_unique<Replacement>(path, bytes));
}

/// Empty when all is as it was, else what isn't.
std::string Replacements::putBack(const std::vector<Placed>& placed)
{
    std::string left;
    for (auto file = placed.rbegin(); file != placed.rend(); ++file) {
        const bool isBack = file->before.empty() ? ::unlink(file->path.c_str()) == 0 || errno == ENOENT
                                                 : ::rename(file->before.c_str(), file->path.c_str()) == 0;
        if (isBack && !file->before.empty())
            ::unlink(file->before.c_str()); // rename() leaves both names where they are of one file
        if (!isBack)
            left += file->before.empty()
                        ? " " + file->path.string() + " couldn't be taken away again."
                        : " The earlier " + file->path.string() + " is kept as " + file->before.string() + ".";
    }
    return left;
}

void Replacements::commit()
{
    std::vector<Placed> placed;
    try {
        for (const auto& file : m_files) {
            Placed one{file->m_path, {}};
            if (std::filesystem::exists(std::filesystem::symlink_status(file->m_path))) {
                one.before = file->m_temporary;
                one.before.replace_filename(
                    std::string(one.before.filename())
                        .replace(one.before.filename().string().rfind(".writing-"), 9, ".before-"));
                // A second name, so that the first is never without a file; some file systems know no second names.
                if (::link(file->m_path.c_str(), one.before.c_str()) != 0
                    && ::rename(file->m_path.c_str(), one.before.c_str()) != 0)
                    failWriting("Replacing", file->m_path, errno);
            }
            placed.push_back(one);
            file->place();
        }
        for (const auto& file : m_files)
            syncFolder(file->m_path.parent_path());
    } catch (const core::Error& error) {
        throw core::Error(error.kind(), error.what() + putBack(placed));
    }
    for (const Placed& one : placed)
        if (!one.before.empty())
            ::unlink(one.before.c_str());
}

std::filesystem::path setAside(const std::filesystem::path& path)
{
    const std::filesystem::path aside = asidePath(path);
    if (::rename(path.c_str(), aside.c_str()) != 0)
        failWriting("Setting aside", path, errno);
    syncFolder(path.parent_path());
    return aside;
}

} // namespace session
