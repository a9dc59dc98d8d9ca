#include "core/session/version1.h"
#include "core/error.h"
#include "core/session/durable_file.h"
#include "core/session/evidence_store.h"
#include "core/session/history.h"
#include "core/session/consistency.h"
#include "core/session/json_fields.h"
#include "core/session/limits.h"
#include "core/session/text.h"
#include <QCryptographicHash>
#include <QtEndian>
#include <boost/crc.hpp>

namespace session {

namespace {

namespace fs = std::filesystem;

constexpr char magic[] = "tallyframe journal 1\n";
constexpr std::int64_t magicBytes = sizeof magic - 1;
constexpr std::int64_t baseBytes = 32;
constexpr std::int64_t headBytes = 4 + 4 + 4 + 8 + baseBytes;
constexpr std::int64_t longestJournal = std::int64_t{800} << 20;
constexpr std::int64_t largestCrop = std::int64_t{64} << 20;

enum class RecordKind : std::uint32_t { Edit = 1, Undo = 2, Redo = 3, Saved = 4, PassedOver = 5 };

/// Little-endian length of the payload, CRC-32 of all that follows and of the length, kind, sequence, SHA-256 of the
/// file it was made on, payload (JSON).
struct Record {
    RecordKind kind = RecordKind::Edit;
    std::int64_t sequence = 0;
    QByteArray base, payload;
};

/// Of the length and of everything after the CRC itself.
std::uint32_t crcOf(const char* record, std::int64_t bytes)
{
    boost::crc_32_type crc;
    crc.process_bytes(record, 4);
    crc.process_bytes(record + 8, static_cast<std::size_t>(bytes - 8));
    return crc.checksum();
}

/// Why there is no record at `at`, or the record.
std::string readRecord(const QByteArray& bytes, std::int64_t at, std::int64_t lastSequence, Record& record)
{
    const std::int64_t left = bytes.size() - at;
    const char* head = bytes.constData() + at;
    const std::int64_t length = left < headBytes ? left : qFromLittleEndian<std::uint32_t>(head);
    if (length > left - headBytes)
        return "it ends within a record";
    if (qFromLittleEndian<std::uint32_t>(head + 4) != crcOf(head, headBytes + length))
        return "the checksum of a record doesn't match";
    const auto kind = qFromLittleEndian<std::uint32_t>(head + 8);
    if (kind < 1 || kind > 5)
        return "a record is of an unknown kind";
    record.kind = static_cast<RecordKind>(kind);
    record.sequence = qFromLittleEndian<std::int64_t>(head + 12);
    if (record.sequence < lastSequence + (record.kind == RecordKind::Saved ? 0 : 1) || record.sequence > limits::number)
        return "the sequence of records is broken";
    record.base = bytes.mid(at + 20, baseBytes);
    record.payload = bytes.mid(at + headBytes, length);
    return {};
}

/// The records up to the first that is none; `trouble` says why that is.
std::vector<Record> readJournal(const fs::path& path, std::string& trouble)
{
    std::vector<Record> records;
    if (!fs::exists(path))
        return records;
    const QByteArray bytes = readFile(path, longestJournal);
    if (bytes.size() < magicBytes && QByteArrayView(magic).startsWith(bytes))
        return records; // stopped while it was begun: nothing was in it
    if (!bytes.startsWith(magic)) {
        trouble = "it doesn't begin as a journal does";
        return records;
    }
    for (std::int64_t at = magicBytes; at < bytes.size();) {
        Record record;
        trouble = readRecord(bytes, at, records.empty() ? 0 : records.back().sequence, record);
        if (!trouble.empty())
            break;
        at += headBytes + record.payload.size();
        records.push_back(std::move(record));
    }
    return records;
}

QByteArray savedHash(const Record& record)
{
    try {
        const Place payload;
        Fields fields(parseObject(record.payload), payload);
        return QByteArray::fromHex(QByteArray::fromStdString(textOf(fields.take("sha256"), Place(payload, "sha256"))));
    } catch (const Problem&) {
        return {};
    }
}

/// Index of the first record that isn't in the file yet; empty when the journal isn't this file's.
std::optional<std::size_t> firstToReplay(const std::vector<Record>& records, const QByteArray& fileHash)
{
    for (std::size_t i = records.size(); i > 0; --i)
        if (records[i - 1].kind == RecordKind::Saved && savedHash(records[i - 1]) == fileHash)
            return i;
    if (records.empty() || records.front().base == fileHash)
        return 0;
    return std::nullopt;
}

/// What the record does, in the document unless the file holds it already, and in the history.
void follow(const Record& record, bool isInFile, Document& document, History& history)
{
    const auto change = [&](const Edit& edit) {
        if (!isInFile)
            applyInPlace(document, edit);
    };
    const auto need = [](const Step* step) -> const Edit& {
        if (!step)
            throw core::Error(core::ErrorKind::Malformed, "there is nothing to undo or redo at this point");
        return step->edit();
    };
    switch (record.kind) {
    case RecordKind::Edit: {
        const auto step = std::make_shared<const Step>(record.payload);
        if (!isInFile)
            change(step->edit());
        history.did(step);
        break;
    }
    case RecordKind::PassedOver: change(editOf(record.payload)); break;
    case RecordKind::Undo:
        if (!isInFile || history.toUndo()) {
            change(isInFile ? Edit{} : reversed(need(history.toUndo())));
            history.undid();
        }
        break;
    case RecordKind::Redo:
        if (!isInFile || history.toRedo()) {
            change(isInFile ? Edit{} : need(history.toRedo()));
            history.redid();
        }
        break;
    case RecordKind::Saved: break;
    }
}

void replay(const fs::path& path, const QByteArray& fileHash, Version1& found)
{
    fs::path journal = path;
    journal += ".journal";
    std::string trouble;
    const std::vector<Record> records = readJournal(journal, trouble);
    const auto first = firstToReplay(records, fileHash);
    const std::string name = "The journal " + journal.filename().string();
    if (!first) {
        found.reports.push_back(name
                                + " was written for another state of the file; changes that only it holds weren't "
                                  "taken over.");
        return;
    }
    History history;
    for (std::size_t i = 0; i < records.size(); ++i) {
        const Record& record = records[i];
        try {
            follow(record, i < *first, found.session.document, history);
        } catch (const core::Error& error) {
            trouble = "change " + std::to_string(record.sequence) + " in it can't be done: " + error.what();
            break;
        }
        if (record.kind == RecordKind::Saved)
            continue;
        const LogKind kinds[] = {LogKind::Edit, LogKind::Undo, LogKind::Redo, LogKind::Edit, LogKind::PassedOver};
        const bool isEdit = record.kind == RecordKind::Edit || record.kind == RecordKind::PassedOver;
        found.session.log.push_back({record.sequence, kinds[static_cast<std::uint32_t>(record.kind) - 1],
                                     isEdit ? record.payload : QByteArray("")});
    }
    if (!trouble.empty())
        found.reports.push_back(name + " was taken over up to change " + std::to_string(found.session.sequence())
                                + " only. " + asSentence(trouble));
}

void readCrops(const fs::path& folder, Version1& found)
{
    std::error_code error;
    if (!fs::is_directory(folder, error))
        return;
    std::size_t wrong = 0;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder)) {
        const std::string sha256 = entry.path().stem().string();
        if (!entry.is_regular_file(error) || entry.path().extension() != ".png" || !isHex(sha256, 64))
            continue;
        const QByteArray png = readFile(entry.path(), largestCrop);
        if (sha256Of(png) == sha256)
            found.crops.emplace(sha256, png);
        else
            ++wrong;
    }
    if (wrong > 0)
        found.reports.push_back(std::to_string(wrong) + " of the crops in " + folder.string()
                                + " aren't what their names say and weren't taken over.");
}

} // namespace

Version1 readText(const fs::path& path)
{
    const QByteArray json = readFile(path, limits::fileBytes);
    Version1 found;
    try {
        found.session.document = fromJson(json, &found.crops);
    } catch (const core::Error& error) {
        throw core::Error(error.kind(), path.string() + " can't be read. " + error.what() + ".");
    }
    replay(path, QCryptographicHash::hash(json, QCryptographicHash::Sha256), found);
    readCrops(evidencePath(path), found);
    return found;
}

} // namespace session
