#include "core/session/packet_files.h"
#include "core/error.h"
#include "core/session/durable_file.h"
#include "core/session/evidence_store.h"

#include <cerrno>
#include <cstdlib>
#include <fcntl.h>
#include <set>
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
    try {
        const Descriptor opened = openForReading(file);
        struct stat status {};
        ::fstat(opened.get(), &status);
        return status.st_size;
    } catch (const core::Error& error) {
        throw core::Error(error.kind(),
                          "Footage for the packet can't be read at " + file.string() + ". " + error.what());
    }
}

/// Folders of pictures as their files.
std::vector<Copy> filesOf(const std::vector<PacketFile>& copies, const fs::path& folder, const std::stop_token& stop)
{
    std::vector<Copy> files;
    for (const PacketFile& copy : copies) {
        std::error_code error;
        if (!fs::is_directory(copy.from, error)) {
            files.push_back({copy.from, folder / copy.to, sizeOf(copy.from)});
            continue;
        }
        for (fs::directory_iterator at(copy.from, error), end; !error && at != end; at.increment(error)) {
            if (stop.stop_requested())
                throw core::Cancelled();
            if (std::error_code ignored; at->is_regular_file(ignored))
                files.push_back({at->path(), folder / copy.to / at->path().filename(), sizeOf(at->path())});
        }
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
    const Descriptor in = openForReading(copy.from);
    const Descriptor out(error ? -1 : ::open(copy.to.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666));
    if (!out)
        fail(folder, error ? error.message() : std::generic_category().message(errno));
    QByteArray block(4 << 20, Qt::Uninitialized);
    std::int64_t done = 0;
    while (const std::int64_t count = readSome(in, block, copy.from)) {
        if (stop.stop_requested())
            throw core::Cancelled();
        writeAt(out, done, QByteArray::fromRawData(block.constData(), count), folder);
        done += count;
        advanced(count);
    }
    syncFile(out, folder);
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
    makeFolders(folder.parent_path());
    std::string beside = folder.string() + ".unfinished-XXXXXX"; // a name that nobody else has
    if (!::mkdtemp(beside.data()))
        fail(folder, std::generic_category().message(errno));
    ::chmod(beside.c_str(), 0755);
    Unfinished unfinished{beside};
    const std::vector<Copy> files = filesOf(copies, beside, stop);
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
    std::set<fs::path> folders{fs::path(beside)};
    for (const Copy& file : files)
        for (fs::path in = file.to.parent_path(); folders.insert(in).second;)
            in = in.parent_path();
    for (const fs::path& each : folders)
        syncFolder(each);
    fs::remove(folder, error); // an empty folder of that name
    fs::rename(beside, folder, error);
    if (error)
        fail(folder, error.message());
    unfinished.kept = true;
    syncFolder(folder.parent_path());
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
