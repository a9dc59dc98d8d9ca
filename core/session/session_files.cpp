#include "core/session/session_files.h"
#include "core/error.h"
#include "core/session/file_format.h"
#include "core/session/limits.h"
#include "core/session/text.h"
#include <QCryptographicHash>
#include <QFile>
#include <QLockFile>
#include <fcntl.h>
#include <unistd.h>

namespace session {

namespace {

namespace fs = std::filesystem;

std::string holderOf(const QLockFile& lock)
{
    qint64 process = 0;
    QString host, program;
    if (!lock.getLockInfo(&process, &host, &program))
        return "another program";
    return "process " + std::to_string(process) + (program.isEmpty() ? "" : " (" + program.toStdString() + ")")
           + (host.isEmpty() ? "" : " on " + host.toStdString());
}

bool isEvidence(const fs::path& path) { return path.extension() == ".png" && isHex(path.stem().string(), 64); }

/// Crops never change once written, so a second name for the same file serves as well as a copy. False when it is there
/// already.
bool linkOrCopy(const fs::path& from, const fs::path& to)
{
    std::error_code error;
    fs::create_hard_link(from, to, error);
    if (!error || error == std::errc::file_exists)
        return !error;
    // Under another name first: a copy that stops half-way must not pass for the crop.
    fs::path half = to;
    half += ".writing";
    fs::copy_file(from, half, fs::copy_options::overwrite_existing, error);
    if (!error)
        fs::rename(half, to, error);
    if (error) {
        std::error_code ignored;
        fs::remove(half, ignored);
        throw core::Error(core::ErrorKind::WriteFailed, "Copying " + from.string() + " to " + to.string() + " failed: "
                                                            + error.message() + "; check free space and permissions.");
    }
    return true;
}

/// Crops copied to another session's folder; gone again unless kept, so that a full disk isn't left full.
class EvidenceCopy {
public:
    EvidenceCopy(const fs::path& from, fs::path to) : m_to(std::move(to))
    {
        try {
            copy(from);
        } catch (...) {
            takeBack();
            throw;
        }
    }
    ~EvidenceCopy() { takeBack(); }
    EvidenceCopy(const EvidenceCopy&) = delete;
    EvidenceCopy& operator=(const EvidenceCopy&) = delete;
    void keep() { m_made.clear(); }

private:
    void copy(const fs::path& from)
    {
        std::error_code error;
        if (!fs::is_directory(from, error))
            return;
        if (fs::create_directories(m_to, error))
            m_made.push_back(m_to);
        if (error)
            throw core::Error(core::ErrorKind::WriteFailed,
                              "The folder " + m_to.string() + " can't be made: " + error.message() + ".");
        for (const fs::directory_entry& entry : fs::directory_iterator(from))
            if (entry.is_regular_file(error) && isEvidence(entry.path()))
                if (const fs::path copied = m_to / entry.path().filename(); linkOrCopy(entry.path(), copied))
                    m_made.push_back(copied);
        const Descriptor folder(::open(m_to.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
        if (!folder || ::syncfs(folder.get()) != 0) // once for all of them: thousands of single ones would take minutes
            throw core::Error(core::ErrorKind::WriteFailed, "Bringing " + m_to.string() + " to the disk failed: "
                                                                + std::generic_category().message(errno) + ".");
    }
    void takeBack()
    {
        std::error_code ignored;
        for (auto made = m_made.rbegin(); made != m_made.rend(); ++made)
            fs::remove(*made, ignored);
    }

    const fs::path m_to;
    std::vector<fs::path> m_made;
};

} // namespace

fs::path resolved(const fs::path& path)
{
    std::error_code error;
    const fs::path whole = fs::canonical(path, error);
    if (!error)
        return whole;
    const fs::path folder = fs::canonical(fs::absolute(path).parent_path(), error);
    if (error)
        throw core::Error(core::ErrorKind::NotFound, "The folder of " + path.string() + " can't be found: "
                                                         + error.message() + "; choose one that is there.");
    return folder / path.filename();
}

Lock::Lock() = default;
Lock::Lock(Lock&&) noexcept = default;
Lock& Lock::operator=(Lock&&) noexcept = default;
Lock::~Lock() = default;

Lock lockSession(const fs::path& sessionPath)
{
    fs::path path = sessionPath;
    path += ".lock";
    Lock lock;
    lock.file = std::make_unique<QLockFile>(QFile::decodeName(path.c_str()));
    lock.file->setStaleLockTime(0); // however long an evening is; a holder that died is found by its process number
    if (lock.file->tryLock(0))
        return lock;
    if (lock.file->error() == QLockFile::LockFailedError)
        lock.reason = "The session " + sessionPath.filename().string() + " is open elsewhere, by "
                      + holderOf(*lock.file) + "; close it there to change it here (if nobody has it open, delete "
                      + path.string() + ").";
    else
        lock.reason = "The session " + sessionPath.filename().string()
                      + " can't be changed, as nothing can be written in " + sessionPath.parent_path().string()
                      + "; check permissions or save it elsewhere.";
    lock.file.reset();
    return lock;
}

Loaded loadSession(const fs::path& sessionPath)
{
    const QByteArray json = readFile(sessionPath, limits::fileBytes);
    const QByteArray hash = QCryptographicHash::hash(json, QCryptographicHash::Sha256);
    Document document;
    try {
        document = fromJson(json);
    } catch (const core::Error& error) {
        throw core::Error(error.kind(),
                          "The session " + sessionPath.string() + " can't be read. " + error.what() + ".");
    }
    return {replay(std::move(document), hash, scanJournal(journalPath(sessionPath))), hash};
}

std::vector<std::string> reportsOf(const Replayed& loaded, const fs::path& sessionPath, const std::string& fate)
{
    const std::string journal = "The journal " + journalPath(sessionPath).filename().string();
    std::vector<std::string> reports;
    if (!loaded.fits)
        reports.push_back(journal + " isn't used: " + loaded.trouble
                          + ". Changes that only it holds aren't in the session; " + fate + ".");
    else if (!loaded.trouble.empty())
        reports.push_back(journal + " is used up to change " + std::to_string(loaded.lastSequence)
                          + " only: " + loaded.trouble + ". What comes after is left out; " + fate + ".");
    if (loaded.olderFile)
        reports.push_back(
            "The file " + sessionPath.filename().string()
            + " is an older state than its journal knows; the changes made since were done again and can be"
              " undone.");
    return reports;
}

std::vector<std::string> prepareJournal(Replayed& loaded, const fs::path& sessionPath, std::int64_t longest)
{
    const fs::path journal = journalPath(sessionPath);
    if (!loaded.fits) {
        const fs::path aside = setAside(journal);
        return reportsOf(loaded, sessionPath, "it was set aside as " + aside.filename().string());
    }
    if (!loaded.trouble.empty()) {
        const fs::path aside = copyAside(journal);
        std::error_code error;
        fs::resize_file(journal, static_cast<std::uintmax_t>(loaded.goodBytes), error);
        if (error)
            throw core::Error(core::ErrorKind::WriteFailed,
                              "Shortening the journal " + journal.string() + " failed: " + error.message() + ".");
        return reportsOf(loaded, sessionPath, "as it was found it is kept as " + aside.filename().string());
    }
    std::vector<std::string> reports = reportsOf(loaded, sessionPath, {});
    if (loaded.goodBytes > longest && loaded.state.sequence == loaded.savedSequence) {
        const fs::path aside = setAside(journal);
        loaded.goodBytes = 0;
        loaded.state.history = {};
        reports.push_back(
            "The journal had grown long, so a new one is begun and what was done before can't be undone any"
            " more; the old one is kept as "
            + aside.filename().string() + ".");
    }
    return reports;
}

std::int64_t copySession(const fs::path& from, std::int64_t goodBytes, std::int64_t sequence, const QByteArray& json,
                         const fs::path& to)
{
    EvidenceCopy evidence(evidencePath(from), evidencePath(to));
    const QByteArray hash = QCryptographicHash::hash(json, QCryptographicHash::Sha256);
    const QByteArray history =
        goodBytes > 0 ? readFile(journalPath(from), longestJournal).first(goodBytes) : emptyJournal();
    const QByteArray journal = history + bytesOf({RecordKind::Saved, sequence, hash, savedPayload(hash), 0});
    Replacements files;
    files.add(journalPath(to), journal);
    files.add(to, json);
    const bool isTaken = fs::exists(fs::symlink_status(journalPath(to)));
    const fs::path aside = isTaken ? copyAside(journalPath(to)) : fs::path();
    try {
        files.commit();
    } catch (...) {
        std::error_code ignored;
        if (isTaken)
            fs::remove(aside, ignored);
        throw;
    }
    evidence.keep();
    return journal.size();
}

} // namespace session
