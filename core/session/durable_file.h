#pragma once
#include <QByteArray>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

/// Files that are whole or not there, whatever happens in between. POSIX calls: Qt offers no fsync of a folder.
namespace session {

/// An open file that closes itself.
class Descriptor {
public:
    explicit Descriptor(int fd = -1) : m_fd(fd) {}
    Descriptor(Descriptor&& other) noexcept : m_fd(other.m_fd) { other.m_fd = -1; }
    Descriptor& operator=(Descriptor&& other) noexcept;
    ~Descriptor();
    int get() const { return m_fd; }
    explicit operator bool() const { return m_fd >= 0; }

private:
    int m_fd;
};

/// A regular file, else core::Error (NotFound, Unreadable): a device or a named pipe might never end.
Descriptor openForReading(const std::filesystem::path& path);
/// The next bytes into `block`, as many as it has room for at most; 0 at the end. Throws core::Error (Unreadable).
std::int64_t readSome(const Descriptor& file, QByteArray& block, const std::filesystem::path& path);
/// The whole of a regular file. Throws core::Error: NotFound, Unreadable, Malformed when it is longer than `limit`.
QByteArray readFile(const std::filesystem::path& path, std::int64_t limit);

/// Writes all of it at that place. Throws core::Error (WriteFailed); part of it may stand there then.
void writeAt(const Descriptor& file, std::int64_t offset, const QByteArray& bytes, const std::filesystem::path& path);
/// Until it is on the disk. Both throw core::Error (WriteFailed).
void syncFile(const Descriptor& file, const std::filesystem::path& path);
void syncFolder(const std::filesystem::path& folder);
/// Makes the folder and those above it where they aren't there, on the disk when it returns. Throws core::Error
/// (WriteFailed).
void makeFolders(const std::filesystem::path& folder);

/// A file that is to take the place of `path`: written beside it and on the disk once made, put in place by commit(),
/// gone without it. Keeps the permissions of the file it replaces. Throws core::Error (WriteFailed).
class Replacement {
public:
    Replacement(std::filesystem::path path, const QByteArray& bytes);
    Replacement(const Replacement&) = delete;
    Replacement& operator=(const Replacement&) = delete;
    ~Replacement();
    void commit(); ///< atomic, and on the disk when it returns

private:
    friend class Replacements;
    void place();
    std::filesystem::path m_path, m_temporary;
    bool m_committed = false;
};

/// Files that take the places of others together, in the order in which they were added. Where one of them can't, those
/// before it go and what was there is back. A crash midway leaves the earlier files as NAME.before-...
class Replacements {
public:
    /// Written beside and on the disk, as Replacement. Throws core::Error (WriteFailed), for a folder of that name as
    /// well.
    void add(const std::filesystem::path& path, const QByteArray& bytes);
    void commit(); ///< on the disk when it returns. Throws core::Error (WriteFailed)

private:
    struct Placed {
        std::filesystem::path path;
        std::filesystem::path before; ///< the earlier file, kept until all are in place; empty: there was none
    };
    static std::string putBack(const std::vector<Placed>& placed);
    std::vector<std::unique_ptr<Replacement>> m_files;
};

/// Renames it to the first free one of NAME.set-aside, NAME.set-aside-2, ... and says which. Throws core::Error
/// (WriteFailed).
std::filesystem::path setAside(const std::filesystem::path& path);

} // namespace session
