#pragma once
#include <atomic>
#include <cstdint>
#include <filesystem>
#include <functional>

/// Watches, or holds up, what this program reads of the files below a path: every read() of the program and of the
/// libraries in it goes through here. One at a time.
class WatchedDisk {
public:
    /// `before` is called ahead of each read with the byte of the file that it begins at, on the thread that reads; it
    /// may block as a slow disk does.
    explicit WatchedDisk(std::filesystem::path below, std::function<void(std::int64_t)> before = {});
    ~WatchedDisk();
    WatchedDisk(const WatchedDisk&) = delete;
    WatchedDisk& operator=(const WatchedDisk&) = delete;

    std::int64_t reads() const { return m_reads; }
    std::int64_t bytes() const { return m_bytes; }

    bool isBelow(const std::filesystem::path& file) const;
    void beforeRead(int descriptor);
    void afterRead(std::int64_t bytes) { m_bytes += bytes; }

private:
    std::filesystem::path m_below;
    std::function<void(std::int64_t)> m_before;
    std::atomic<std::int64_t> m_reads = 0, m_bytes = 0;
};
