#pragma once
#include "core/media/index/footage.h"
#include <span>

namespace media {

/// The SHA-256 of footage, as lower-case hex: of its file, or of the lines "HASH  NAME\n" of its files in order, for a
/// folder of pictures and for the joined parts of one recording. Whoever reads the files for another purpose lets it
/// have the bytes, so that finish() has to read only what didn't pass. For one thread at a time.
class FootageChecksum {
public:
    /// A file, a folder, or the parts of one recording.
    explicit FootageChecksum(std::vector<std::filesystem::path> paths);
    ~FootageChecksum();
    FootageChecksum(const FootageChecksum&) = delete;
    FootageChecksum& operator=(const FootageChecksum&) = delete;

    /// `bytes` were read from `file` at `position`. What was added before may come again. A short stretch that was
    /// passed over is read here, as it lies where the disk is anyway; what lies far ahead is left to come later.
    void add(const std::filesystem::path& file, std::int64_t position, std::span<const std::uint8_t> bytes);

    /// Reads the rest. Progress counts bytes. Files that changed since their first bytes were added are read whole.
    /// Throws core::Error (NotFound, Unreadable, AtOdds when a file is being written to), core::Cancelled: then it may
    /// be asked again, and goes on.
    std::string finish(const std::stop_token& stop = {}, const Progress& progress = {});

private:
    struct File;
    File& fileAt(const std::filesystem::path& path);

    std::vector<std::filesystem::path> m_paths;
    std::map<std::filesystem::path, std::unique_ptr<File>> m_files;
};

/// Whether two pieces of footage, files or folders of pictures, are the same bytes (of a folder under the same names).
/// Reads as far as the first difference. What can't be read is another. Throws core::Cancelled.
bool holdSameBytes(const std::filesystem::path& a, const std::filesystem::path& b, const std::stop_token& stop = {});

} // namespace media
