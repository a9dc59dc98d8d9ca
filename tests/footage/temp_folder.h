#pragma once
#include <atomic>
#include <filesystem>
#include <string>
#include <unistd.h>

/// A folder of its own for one test, gone at its end.
class TempFolder {
public:
    TempFolder()
    {
        static std::atomic<int> next{0};
        m_path = std::filesystem::temp_directory_path()
                 / ("tallyframe_footage_" + std::to_string(::getpid()) + "_" + std::to_string(next++));
        std::filesystem::create_directories(m_path);
    }
    ~TempFolder()
    {
        std::error_code ignored; // a folder left behind in /tmp fails no test
        std::filesystem::remove_all(m_path, ignored);
    }
    TempFolder(const TempFolder&) = delete;
    TempFolder& operator=(const TempFolder&) = delete;

    const std::filesystem::path& path() const { return m_path; }
    std::filesystem::path operator/(const std::string& name) const { return m_path / name; }

private:
    std::filesystem::path m_path;
};
