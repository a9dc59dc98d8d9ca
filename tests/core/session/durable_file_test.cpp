#include "core/session/durable_file.h"
#include "core/error.h"
#include "session_listener.h"
#include <catch2/catch.hpp>
#include <map>

using namespace session;
namespace fs = std::filesystem;
using Catch::Contains;

namespace {

/// Every file of a folder, hidden ones too, by name.
std::map<std::string, QByteArray> filesIn(const fs::path& folder)
{
    std::map<std::string, QByteArray> files;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder))
        files[entry.path().filename().string()] = readFile(entry.path(), 1 << 20);
    return files;
}

void put(const fs::path& path, const QByteArray& bytes) { Replacement(path, bytes).commit(); }

} // namespace

TEST_CASE("several files take the places of others together, and nothing else is left", "[session]")
{
    Folder folder;
    put(folder / "a", "old a");
    put(folder / "c", "old c");
    Replacements files;
    for (const char* name : {"a", "b", "c"})
        files.add(folder / name, QByteArray("new ") + name);
    CHECK(readFile(folder / "a", 100) == "old a");
    files.commit();
    CHECK(filesIn(folder.path()) == std::map<std::string, QByteArray>{{"a", "new a"}, {"b", "new b"}, {"c", "new c"}});
}

TEST_CASE("where one of several files can't take its place, all are as they were", "[session]")
{
    const std::string failing = GENERATE("a", "c", "d");
    Folder folder;
    put(folder / "a", "old a");
    put(folder / "c", "old c");
    put(folder / "d", "old d");
    const auto before = filesIn(folder.path());
    {
        Replacements files;
        for (const char* name : {"a", "b", "c", "d"}) // b wasn't there
            files.add(folder / name, QByteArray("new ") + name);
        // What was written beside it is gone: its place can't be taken when its turn comes, after those before it took
        // theirs.
        for (const auto& [name, bytes] : filesIn(folder.path()))
            if (name.starts_with(failing + ".writing-"))
                fs::remove(folder.path() / name);
        try {
            files.commit();
            FAIL("a file that isn't there took a place");
        } catch (const core::Error& error) {
            CHECK(error.kind() == core::ErrorKind::WriteFailed);
            CHECK_THAT(error.what(), Contains("Replacing " + (folder / failing.c_str()).string()));
        }
    }
    CHECK(filesIn(folder.path()) == before);
}

TEST_CASE("a folder in the place of a file is refused before anything is replaced", "[session]")
{
    Folder folder;
    put(folder / "a", "old a");
    fs::create_directory(folder / "b");
    {
        Replacements files;
        files.add(folder / "a", "new a");
        CHECK_THROWS_WITH(files.add(folder / "b", "new b"), Contains("Replacing " + (folder / "b").string()));
    }
    CHECK(readFile(folder / "a", 100) == "old a");
    CHECK(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()) == 2);
}
