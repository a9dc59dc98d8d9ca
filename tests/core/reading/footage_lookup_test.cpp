#include "core/reading/footage_lookup.h"
#include "tests/footage/temp_folder.h"
#include <catch2/catch.hpp>
#include <fstream>

namespace fs = std::filesystem;

namespace {

struct Folder : TempFolder {
    fs::path put(const std::string& name) const
    {
        const fs::path file = *this / name;
        fs::create_directories(file.parent_path());
        std::ofstream(file) << "x";
        return file;
    }
};

using Paths = std::vector<fs::path>;

} // namespace

TEST_CASE("a folder stands for the footage in it, in the order of numbers, sub-folders included", "[take-in]")
{
    const Folder folder;
    const Paths films{folder.put("day/run2.mp4"), folder.put("day/run10.MOV"), folder.put("day/two/run1.mkv")};
    folder.put("day/notes.txt");
    folder.put("day/.run3.mp4"); // hidden
    const reading::FoundFootage found = reading::findFootage({folder / "day/"});
    CHECK(found.paths == films);
    CHECK(found.problems.empty());
}

TEST_CASE("a folder of pictures is one piece of footage, unless films lie in it", "[take-in]")
{
    const Folder folder;
    folder.put("frames/a_1.png");
    CHECK(reading::findFootage({folder / "frames"}).paths.empty()); // one picture is no film
    folder.put("frames/a_2.png");
    CHECK(reading::findFootage({folder / "frames"}).paths == Paths{folder / "frames"});
    CHECK(reading::findFootage({folder.path()}).paths == Paths{folder / "frames"});
    const fs::path film = folder.put("frames/a.mp4");
    CHECK(reading::findFootage({folder.path()}).paths == Paths{film});
}

TEST_CASE("files are taken as they are and once; what holds nothing is told in a sentence each", "[take-in]")
{
    const Folder folder;
    const fs::path odd = folder.put("odd.name");
    fs::create_directory(folder / "nothing");
    fs::create_directory_symlink(folder.path(), folder / "nothing" / "circle");
    const reading::FoundFootage found = reading::findFootage(
        {odd, folder / "gone.mp4", folder / "nothing", odd, folder.path() / "nothing" / ".." / "odd.name"});
    CHECK(found.paths == Paths{odd});
    REQUIRE(found.problems.size() == 2);
    CHECK_THAT(found.problems[0], Catch::Contains("gone.mp4 isn't there any more"));
    CHECK_THAT(found.problems[1], Catch::Contains("nothing holds no footage"));
}

TEST_CASE("a name that isn't UTF-8 is found, and told as text", "[take-in]")
{
    const Folder folder;
    const fs::path film = folder.put("day/\xff.mp4");
    CHECK(reading::findFootage({folder / "day"}).paths == Paths{film});
    const reading::FoundFootage gone = reading::findFootage({folder / "\xff gone.mp4"});
    REQUIRE(gone.problems.size() == 1);
    CHECK_THAT(gone.problems[0], Catch::Contains(" gone.mp4 isn't there") && !Catch::Contains("\xff"));
}
