#pragma once
#include "core/session/durable_file.h"
#include <vector>

namespace session {

/// A look is an edit that undo passes over (isPassedOver).
enum class RecordKind : std::uint32_t { Edit = 1, Undo = 2, Redo = 3, Saved = 4, Look = 5 };

/// One record of the journal: little-endian length of the payload, CRC-32 of all that follows and of the length,
/// kind, sequence, SHA-256 of the session file it was made on, payload (JSON).
struct Record {
    RecordKind kind = RecordKind::Edit;
    std::int64_t sequence = 0; ///< of the edit, undo or redo; a Saved record repeats that of the state it saved
    QByteArray base;           ///< 32 bytes
    QByteArray payload;        ///< edit and look: toObject(Edit); saved: {"sha256": hex}; undo and redo: {}
    std::int64_t end = 0;      ///< where the next one begins in the file
};

QByteArray bytesOf(const Record&);    ///< as it stands in the file
std::int64_t lengthOf(const Record&); ///< of those bytes
QByteArray emptyJournal();            ///< what a journal begins with

/// What can be made out in a journal file.
struct JournalScan {
    std::vector<Record> records;
    std::int64_t goodBytes = 0; ///< up to the end of the last whole record
    std::int64_t bytes = 0;     ///< of the file; 0 when there is none
    std::string trouble;        ///< why what follows goodBytes is no record; empty when all is good
};

/// Survives any bytes; sequences rise from record to record. Throws core::Error (Unreadable).
JournalScan scanJournal(const std::filesystem::path& path);

/// "/a/b.tallyframe.journal" for "/a/b.tallyframe".
std::filesystem::path journalPath(const std::filesystem::path& sessionPath);

std::uint32_t crc32(const char* bytes, std::size_t count);

inline constexpr std::int64_t longestPayload = std::int64_t{256} << 20;
inline constexpr std::int64_t longestJournal = std::int64_t{800} << 20; ///< read at most

/// The journal being written. Not made before the first record.
class JournalFile {
public:
    /// Goes on after `goodBytes` (0: anew); what stands behind is cut off with the first record.
    JournalFile(std::filesystem::path path, std::int64_t goodBytes);

    /// write() has returned when this does. Throws core::Error (WriteFailed); the record isn't there then.
    void append(const Record&);
    void sync();            ///< throws core::Error (WriteFailed)
    bool isDeleted() const; ///< by somebody else: what is appended is lost then
    std::int64_t end() const { return m_end; }
    const std::filesystem::path& path() const { return m_path; }

private:
    void open();
    std::filesystem::path m_path;
    Descriptor m_file;
    std::int64_t m_end;
};

} // namespace session
