#include "core/session/journal_file.h"
#include "core/error.h"
#include "core/session/limits.h"
#include <QtEndian>
#include <array>
#include <cassert>
#include <cerrno>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

namespace session {

namespace {

constexpr char magic[] = "tallyframe journal 1\n";
constexpr std::int64_t magicBytes = sizeof magic - 1;
constexpr std::int64_t baseBytes = 32;
constexpr std::int64_t headBytes = 4 + 4 + 4 + 8 + baseBytes;

/// CRC-32 as in ISO 3309 and PNG: polynomial 0xEDB88320, reflected.
constexpr std::array<std::uint32_t, 256> makeCrcTable()
{
    std::array<std::uint32_t, 256> table{};
    for (std::uint32_t n = 0; n < 256; ++n) {
        std::uint32_t c = n;
        for (int bit = 0; bit < 8; ++bit)
            c = (c & 1) != 0 ? 0xEDB88320u ^ (c >> 1) : c >> 1;
        table[n] = c;
    }
    return table;
}

constexpr auto crcTable = makeCrcTable();

std::uint32_t crcOn(std::uint32_t crc, const char* bytes, std::size_t count)
{
    for (std::size_t i = 0; i < count; ++i)
        crc = crcTable[(crc ^ static_cast<unsigned char>(bytes[i])) & 0xFF] ^ (crc >> 8);
    return crc;
}

/// Of the length and of everything after the CRC itself.
std::uint32_t crcOf(const char* record, std::int64_t bytes)
{
    const std::uint32_t length = crcOn(0xFFFFFFFFu, record, 4);
    return ~crcOn(length, record + 8, static_cast<std::size_t>(bytes - 8));
}

bool isKnown(std::uint32_t kind)
{
    return kind >= static_cast<std::uint32_t>(RecordKind::Edit) && kind <= static_cast<std::uint32_t>(RecordKind::Look);
}

/// Why there is no record at `at`, or the record.
std::string readRecord(const QByteArray& bytes, std::int64_t at, std::int64_t lastSequence, Record& record)
{
    const std::int64_t left = bytes.size() - at;
    const char* head = bytes.constData() + at;
    if (left < headBytes)
        return "it ends within a record";
    const std::int64_t length = qFromLittleEndian<std::uint32_t>(head);
    if (length > left - headBytes)
        return "it ends within a record";
    if (qFromLittleEndian<std::uint32_t>(head + 4) != crcOf(head, headBytes + length))
        return "the checksum of a record doesn't match";
    const auto kind = qFromLittleEndian<std::uint32_t>(head + 8);
    record.sequence = qFromLittleEndian<std::int64_t>(head + 12);
    if (!isKnown(kind))
        return "a record is of an unknown kind";
    record.kind = static_cast<RecordKind>(kind);
    const std::int64_t least = lastSequence + (record.kind == RecordKind::Saved ? 0 : 1);
    if (record.sequence < least || record.sequence > limits::number)
        return "the sequence of records is broken";
    record.base = bytes.mid(at + 20, baseBytes);
    record.payload = bytes.mid(at + headBytes, length);
    record.end = at + headBytes + length;
    return {};
}

} // namespace

std::uint32_t crc32(const char* bytes, std::size_t count) { return ~crcOn(0xFFFFFFFFu, bytes, count); }

std::filesystem::path journalPath(const std::filesystem::path& sessionPath)
{
    std::filesystem::path path = sessionPath;
    return path += ".journal";
}

QByteArray bytesOf(const Record& record)
{
    assert(record.base.size() == baseBytes);
    QByteArray bytes(headBytes, Qt::Uninitialized);
    char* head = bytes.data();
    qToLittleEndian(static_cast<std::uint32_t>(record.payload.size()), head);
    qToLittleEndian(static_cast<std::uint32_t>(record.kind), head + 8);
    qToLittleEndian(record.sequence, head + 12);
    std::copy(record.base.begin(), record.base.end(), head + 20);
    bytes.append(record.payload);
    qToLittleEndian(crcOf(bytes.constData(), bytes.size()), bytes.data() + 4);
    return bytes;
}

std::int64_t lengthOf(const Record& record) { return headBytes + record.payload.size(); }

QByteArray emptyJournal() { return magic; }

JournalScan scanJournal(const std::filesystem::path& path)
{
    JournalScan scan;
    if (!std::filesystem::exists(std::filesystem::symlink_status(path)))
        return scan;
    if (!std::filesystem::is_regular_file(path)) {
        scan.trouble = "it isn't a file";
        return scan;
    }
    if (std::filesystem::file_size(path) > static_cast<std::uintmax_t>(longestJournal)) {
        scan.trouble = "it is longer than the " + std::to_string(longestJournal >> 20) + " MiB that are read at most";
        return scan;
    }
    const QByteArray bytes = readFile(path, longestJournal);
    scan.bytes = bytes.size();
    if (bytes.size() < magicBytes && QByteArrayView(magic).startsWith(bytes))
        return scan; // stopped while it was begun: nothing was in it
    if (!bytes.startsWith(magic)) {
        scan.trouble = "it doesn't begin as a journal does";
        return scan;
    }
    scan.goodBytes = magicBytes;
    std::int64_t sequence = 0;
    while (scan.goodBytes < scan.bytes) {
        Record record;
        scan.trouble = readRecord(bytes, scan.goodBytes, sequence, record);
        if (!scan.trouble.empty())
            break;
        sequence = record.sequence;
        scan.goodBytes = record.end;
        scan.records.push_back(std::move(record));
    }
    return scan;
}

JournalFile::JournalFile(std::filesystem::path path, std::int64_t goodBytes) : m_path(std::move(path)), m_end(goodBytes)
{}

void JournalFile::open()
{
    if (m_file)
        return;
    const bool isNew = m_end == 0;
    Descriptor file(::open(m_path.c_str(), O_WRONLY | O_CLOEXEC | (isNew ? O_CREAT | O_TRUNC : 0), 0666));
    const auto fail = [&] {
        throw core::Error(core::ErrorKind::WriteFailed,
                          "The journal " + m_path.string()
                              + " can't be opened for writing: " + std::generic_category().message(errno) + ".");
    };
    if (!file || (!isNew && ::ftruncate(file.get(), m_end) != 0))
        fail();
    if (isNew) {
        writeAt(file, 0, emptyJournal(), m_path);
        syncFolder(m_path.parent_path());
        m_end = magicBytes;
    }
    m_file = std::move(file);
}

void JournalFile::append(const Record& record)
{
    if (record.payload.size() > longestPayload)
        throw core::Error(core::ErrorKind::WriteFailed,
                          "The change is larger than the " + std::to_string(longestPayload >> 20)
                              + " MiB that the journal takes at once; make it in smaller steps.");
    if (m_end + lengthOf(record) > longestJournal)
        throw core::Error(core::ErrorKind::WriteFailed,
                          "The journal " + m_path.string()
                              + " is full; save the session, close it and open it again to begin a new one.");
    open();
    const QByteArray bytes = bytesOf(record);
    try {
        writeAt(m_file, m_end, bytes, m_path);
    } catch (const core::Error&) {
        // A part may stand there. Should cutting it off fail as well, the next record overwrites it, and opening drops
        // what is left of it.
        [[maybe_unused]] const int ignored = ::ftruncate(m_file.get(), m_end);
        throw;
    }
    m_end += bytes.size();
}

void JournalFile::sync()
{
    if (m_file)
        syncFile(m_file, m_path);
}

bool JournalFile::isDeleted() const
{
    struct stat status {};
    return m_file && ::fstat(m_file.get(), &status) == 0 && status.st_nlink == 0;
}

} // namespace session
