#include "core/session/packet_files.h"
#include "core/error.h"
#include "core/session/evidence_store.h"

#include <cstdlib>
#include <fstream>
#include <sys/stat.h>
#include <system_error>

namespace session {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const fs::path& folder, const std::string& why)
{
    throw core::Error(core::ErrorKind::WriteFailed,
                      "The packet can't be written to " + folder.string() + ": " + why + ".");
}

struct Copy {
    fs::path from, to;
    std::int64_t bytes = 0;
};

std::int64_t sizeOf(const fs::path& file)
{
    std::error_code error;
    const auto bytes = fs::file_size(file, error);
    if (error)
        throw core::Error(core::ErrorKind::NotFound,
                          "Footage for the packet can't be read at " + file.string() + ": " + error.message() + ".");
    return static_cast<std::int64_t>(bytes);
}

/// Folders of pictures as their files.
std::vector<Copy> filesOf(const std::vector<PacketFile>& copies, const fs::path& folder)
{
    std::vector<Copy> files;
    for (const PacketFile& copy : copies) {
        std::error_code error;
        if (!fs::is_directory(copy.from, error)) {
            files.push_back({copy.from, folder / copy.to, sizeOf(copy.from)});
            continue;
        }
        for (const fs::directory_entry& entry : fs::directory_iterator(copy.from, error))
            if (std::error_code ignored; entry.is_regular_file(ignored))
                files.push_back({entry.path(), folder / copy.to / entry.path().filename(), sizeOf(entry.path())});
        if (error)
            throw core::Error(core::ErrorKind::Unreadable,
                              "The pictures in " + copy.from.string() + " can't be listed: " + error.message() + ".");
    }
    return files;
}

void copyFile(const Copy& copy, const fs::path& folder, std::stop_token stop,
              const std::function<void(std::int64_t)>& advanced)
{
    std::error_code error;
    fs::create_directories(copy.to.parent_path(), error);
    if (error)
        fail(folder, error.message());
    std::ifstream in(copy.from, std::ios::binary);
    if (!in)
        throw core::Error(core::ErrorKind::Unreadable,
                          "Footage for the packet can't be read at " + copy.from.string() + ".");
    std::ofstream out(copy.to, std::ios::binary);
    std::vector<char> block(std::size_t{4} << 20);
    while (in && out) {
        if (stop.stop_requested())
            throw core::Cancelled();
        in.read(block.data(), static_cast<std::streamsize>(block.size()));
        out.write(block.data(), in.gcount());
        advanced(in.gcount());
    }
    out.close();
    if (in.bad())
        throw core::Error(core::ErrorKind::Unreadable, "Reading " + copy.from.string() + " for the packet failed.");
    if (!out)
        fail(folder, "the disk may be full, " + copy.to.filename().string() + " wasn't written whole");
}

/// Gone when it isn't kept.
struct Unfinished {
    fs::path folder;
    bool kept = false;
    ~Unfinished()
    {
        std::error_code ignored;
        if (!kept)
            fs::remove_all(folder, ignored);
    }
};

} // namespace

fs::path packetSession(const fs::path& folder) { return folder / "blind packet.tallyframe"; }

void writePacket(const fs::path& folder, const Document& packet, const std::vector<PacketFile>& copies,
                 std::stop_token stop, const std::function<void(std::int64_t, std::int64_t)>& progress)
{
    std::error_code error;
    if (fs::exists(folder, error) && !(fs::is_directory(folder, error) && fs::is_empty(folder, error)))
        fail(folder, "something of that name is there already; choose another");
    fs::create_directories(folder.parent_path(), error);
    std::string beside = folder.string() + ".unfinished-XXXXXX"; // a name that nobody else has
    if (error || !::mkdtemp(beside.data()))
        fail(folder, error ? error.message() : std::generic_category().message(errno));
    ::chmod(beside.c_str(), 0755);
    Unfinished unfinished{beside};
    const std::vector<Copy> files = filesOf(copies, beside);
    std::int64_t done = 0, total = 0;
    for (const Copy& file : files)
        total += file.bytes;
    for (const Copy& file : files)
        copyFile(file, folder, stop, [&](std::int64_t bytes) {
            done += bytes;
            if (progress)
                progress(done, total);
        });
    SessionStore::write(packetSession(beside), {packet, {}});
    fs::remove(folder, error); // an empty folder of that name
    fs::rename(beside, folder, error);
    if (error)
        fail(folder, error.message());
    unfinished.kept = true;
}

int takeCrops(const fs::path& packetSession, EvidenceStore& here, std::vector<BroughtIn>& readings)
{
    EvidenceStore there(packetSession);
    int left = 0;
    const auto take = [&](std::string& crop) {
        if (crop.empty())
            return;
        try {
            if (const auto png = there.load(crop)) {
                here.keep(*png);
                return;
            }
        } catch (const core::Error& error) {
            if (error.kind() != core::ErrorKind::AtOdds)
                throw;
        }
        crop.clear(); // not there, or other bytes than its name says
        ++left;
    };
    for (BroughtIn& one : readings)
        for (std::optional<Mark>* mark : {&one.reading.press, &one.reading.response})
            if (*mark)
                for (std::string* crop : {&(*mark)->crops.lampBefore, &(*mark)->crops.lampAt,
                                          &(*mark)->crops.screenBefore, &(*mark)->crops.screenAt})
                    take(*crop);
    return left;
}

} // namespace session
