#include "tests/fuzz/target.h"
#include <cstdio>
#include <cstdlib>
#include <fcntl.h>
#include <fstream>
#include <iterator>
#include <unistd.h>

namespace fuzz {
namespace {

namespace fs = std::filesystem;

struct Scratch {
    fs::path path;
    Scratch()
    {
        std::error_code error;
        const fs::path memory = "/dev/shm";
        std::string name =
            ((fs::is_directory(memory, error) ? memory : fs::temp_directory_path()) / "fuzz-XXXXXX").string();
        require(::mkdtemp(name.data()) != nullptr, "no folder for files can be made");
        path = name;
    }
    ~Scratch()
    {
        std::error_code ignored;
        fs::remove_all(path, ignored);
    }
};

} // namespace

const std::vector<Target>& targets()
{
    static const std::vector<Target> all = [] {
        std::vector<Target> made = sessionTargets();
        for (const auto& others : {mediaTargets(), argumentTargets()})
            made.insert(made.end(), others.begin(), others.end());
        return made;
    }();
    return all;
}

void require(bool holds, const char* what)
{
    if (holds)
        return;
    std::fprintf(stderr, "finding: %s\n", what);
    std::abort();
}

const fs::path& scratch()
{
    static const Scratch folder;
    return folder.path;
}

fs::path scratchFile(const char* name, const std::string& bytes)
{
    const fs::path path = scratch() / name;
    const int file = ::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    require(file >= 0, "a file can't be written");
    const bool whole = ::write(file, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size());
    ::close(file);
    require(whole, "a file can't be written whole");
    return path;
}

std::string bytesOf(const fs::path& path)
{
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

} // namespace fuzz
