#include "core/session/packet_files.h"
#include "core/error.h"
#include "core/session/open_session.h"
#include "sample_document.h"
#include "session_listener.h"
#include <catch2/catch.hpp>
#include <fstream>
#include <sys/stat.h>

using namespace session;
using Catch::Contains;

namespace {

namespace fs = std::filesystem;

bool isEmptyButFor(const fs::path& folder, const std::string& name)
{
    for (const fs::directory_entry& entry : fs::directory_iterator(folder))
        if (entry.path().filename() != name)
            return false;
    return true;
}

} // namespace

TEST_CASE("a packet is whole or not there, and only files go into it", "[session]")
{
    Folder folder;
    const fs::path film = folder / "film.mov";
    std::ofstream(film) << "pictures";
    const Document planned = sample::planned();
    const auto write = [&](const fs::path& footage, std::stop_token stop = {}) {
        writePacket(folder / "packet", planned, {{film, "footage/1.mov"}, {footage, "footage/2"}}, stop);
    };
    SECTION("what isn't a file is refused before anything is copied")
    {
        const fs::path pipe = folder / "film.mov.pipe";
        REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
        CHECK_THROWS_WITH(write(pipe), Contains("Footage for the packet") && Contains("isn't a file"));
        fs::remove(pipe);
        CHECK_THROWS_WITH(write("/dev/zero"), Contains("/dev/zero isn't a file."));
        CHECK_THROWS_WITH(write(folder / "gone.mov"), Contains("gone.mov can't be opened: No such file"));
        CHECK(isEmptyButFor(folder.path(), "film.mov"));
    }
    SECTION("a stop leaves nothing")
    {
        std::stop_source stop;
        stop.request_stop();
        CHECK_THROWS_AS(write(film, stop.get_token()), core::Cancelled);
        CHECK(isEmptyButFor(folder.path(), "film.mov"));
    }
    SECTION("files and folders of pictures are copied")
    {
        fs::create_directory(folder / "pictures");
        std::ofstream(folder / "pictures/1.png") << "one";
        write(folder / "pictures");
        CHECK(fs::file_size(folder / "packet/footage/1.mov") == 8);
        CHECK(fs::file_size(folder / "packet/footage/2/1.png") == 3);
        CHECK(readSession(packetSession(folder / "packet")) == planned);
        CHECK_THROWS_WITH(write(film), Contains("something of that name is there already"));
    }
}
