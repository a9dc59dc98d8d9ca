#include "core/analysis/blind_packet.h"
#include "core/analysis/results.h"
#include "core/error.h"
#include "core/session/evidence_store.h"
#include "core/session/history.h"
#include "core/session/open_session.h"
#include "core/session/packet_files.h"
#include "core/session/version1.h"
#include "tests/core/session/json_mutation.h"
#include "tests/core/session/sample_document.h"
#include "tests/fuzz/target.h"
#include <QtEndian>
#include <boost/crc.hpp>
#include <sqlite3.h>

namespace fuzz {
namespace {

using namespace session;

QByteArray bytes(const std::string& input) { return {input.data(), std::ssize(input)}; }

std::string changedJson(const std::string& input, Random& random)
{
    const QJsonDocument parsed = QJsonDocument::fromJson(bytes(input));
    if (!parsed.isObject())
        return {};
    const QJsonObject changed = mutation::mutated(parsed.object(), random).toObject();
    return QJsonDocument(changed).toJson(QJsonDocument::Compact).toStdString();
}

void takeText(const std::string& input)
{
    try {
        CropBytes crops;
        const Document document = fromJson(bytes(input), &crops);
        require(contradiction(document).empty(), "a session was taken that contradicts itself");
        require(fromJson(toJson(document)) == document, "a session written is another when read");
    } catch (const core::Error&) {
    }
}

std::string compact(const QByteArray& json)
{
    return QJsonDocument::fromJson(json).toJson(QJsonDocument::Compact).toStdString();
}

std::vector<std::string> textSeeds()
{
    return {compact(toJson(sample::planned())), compact(toJson(sample::withTrials(2))),
            compact(toJson(sample::rich(), {{"", "\x89PNG"}})), "{}"};
}

/// What was taken is reckoned with.
void computeResults(const std::string& input)
{
    try {
        analysis::compute(fromJson(bytes(input)));
    } catch (const core::Error&) {
    }
}

std::vector<std::string> resultSeeds() { return {compact(toJson(sample::withTrials(2)))}; }

constexpr std::size_t journalMagicBytes = 21, recordHeadBytes = 52;
const char* const journalMagic = "tallyframe journal 1\n";

/// Where each whole record begins, and past the last.
std::vector<std::size_t> recordsOf(const std::string& journal)
{
    std::vector<std::size_t> records;
    for (std::size_t at = journalMagicBytes; at <= journal.size();) {
        records.push_back(at);
        if (journal.size() - at < recordHeadBytes)
            break;
        const std::size_t length = qFromLittleEndian<std::uint32_t>(journal.data() + at);
        if (length > journal.size() - at - recordHeadBytes)
            break;
        at += recordHeadBytes + length;
    }
    return records;
}

const std::string& journaledText()
{
    static const std::string text = compact(toJson({}));
    return text;
}

/// The session itself is as it should be, its journal is the input with the checksums of its records put right, else
/// nothing would get past the first.
void takeJournal(const std::string& input)
{
    static const std::filesystem::path text = scratchFile("old.tallyframe", journaledText());
    std::string journal = input;
    const std::vector<std::size_t> records = recordsOf(input);
    for (std::size_t i = 0; i + 1 < records.size(); ++i) {
        char* const record = journal.data() + records[i];
        boost::crc_32_type crc;
        crc.process_bytes(record, 4);
        crc.process_bytes(record + 8, records[i + 1] - records[i] - 8);
        qToLittleEndian<std::uint32_t>(crc.checksum(), record + 4);
    }
    scratchFile("old.tallyframe.journal", journal);
    try {
        session::readText(text);
    } catch (const core::Error&) {
    }
}

/// Kinds of version1.cpp: 1 edit, 2 undo, 3 redo, 4 saved, 5 an edit that undo passes over.
std::string record(std::uint32_t kind, std::int64_t sequence, const std::string& payload)
{
    std::string head(recordHeadBytes, '\0');
    qToLittleEndian(static_cast<std::uint32_t>(payload.size()), head.data());
    qToLittleEndian(kind, head.data() + 8);
    qToLittleEndian(sequence, head.data() + 12);
    const QByteArray base = QCryptographicHash::hash(bytes(journaledText()), QCryptographicHash::Sha256);
    base.toStdString().copy(head.data() + 20, 32);
    return head + payload;
}

std::vector<std::string> journalSeeds()
{
    Document document;
    Configuration cable;
    cable.name = "cable";
    const Edit named = addConfiguration(document, cable);
    document = apply(document, named);
    const std::string saved = R"({"sha256":")" + sample::hexOf(journaledText(), QCryptographicHash::Sha256) + R"("})";
    const std::string edit = record(1, 1, bodyOf(named).toStdString());
    const std::string rest =
        record(2, 2, "") + record(3, 3, "") + record(5, 4, bodyOf(recordEarlyLook(document, "delays")).toStdString());
    return {journalMagic, journalMagic + edit + rest, journalMagic + edit + record(4, 1, saved) + rest};
}

/// What one record says, or its kind.
std::string changedJournal(const std::string& input, Random& random)
{
    const std::vector<std::size_t> records = recordsOf(input);
    if (records.size() < 2)
        return {};
    const std::size_t i = random() % (records.size() - 1), from = records[i] + recordHeadBytes;
    std::string head = input.substr(records[i], recordHeadBytes);
    std::string payload = input.substr(from, records[i + 1] - from);
    if (random() % 8 == 0)
        head[8] = static_cast<char>(random() % 7);
    else
        payload = changedJson(payload, random);
    qToLittleEndian(static_cast<std::uint32_t>(payload.size()), head.data());
    return input.substr(0, records[i]) + head + payload + input.substr(records[i + 1]);
}

void takeFile(const std::string& input)
{
    const auto path = scratchFile("session.tallyframe", input);
    std::filesystem::remove(path.string() + "-journal");
    try {
        SessionStore store(path);
        const StoredSession stored = store.read();
        require(contradiction(stored.document).empty(), "a session was taken that contradicts itself");
        store.forCrops([](const std::string&, const QByteArray&) {});
        const auto session = OpenSession::open(path, {});
        if (session->undoLabel() && !session->readOnly())
            session->undo();
        session->save();
    } catch (const core::Error&) {
    }
}

std::string fileOf(const StoredSession& session)
{
    const auto path = scratch() / "seed.tallyframe";
    SessionStore::write(path, session, [](const SessionStore::AddCrop& add) {
        const QByteArray crop(300, 'c');
        add(QCryptographicHash::hash(crop, QCryptographicHash::Sha256).toHex().toStdString(), crop);
    });
    sqlite3* file = nullptr; // the smallest pages, so that chance hits something
    require(sqlite3_open(path.c_str(), &file) == SQLITE_OK
                && sqlite3_exec(file, "PRAGMA page_size = 512; VACUUM", nullptr, nullptr, nullptr) == SQLITE_OK,
            "a session can't be made smaller");
    sqlite3_close(file);
    return bytesOf(path);
}

std::vector<std::string> fileSeeds()
{
    StoredSession made{sample::withTrials(2), {}};
    const auto line = [&](LogKind kind, const QByteArray& body) {
        made.log.push_back({std::ssize(made.log) + 1, kind, body});
    };
    const Edit note = setTrialNote(made.document, made.document.trials.begin()->first, "flicker");
    made.document = apply(made.document, note);
    line(LogKind::Edit, bodyOf(note));
    line(LogKind::Undo, "");
    line(LogKind::Redo, "");
    line(LogKind::PassedOver, bodyOf(recordEarlyLook(made.document, "delays")));
    return {fileOf({sample::planned(), {}}), fileOf(made)};
}

/// One row's JSON or number, by SQLite itself.
std::string changedFile(const std::string& input, Random& random)
{
    const auto path = scratchFile("changed.tallyframe", input);
    sqlite3* file = nullptr;
    std::string changed;
    if (sqlite3_open(path.c_str(), &file) == SQLITE_OK) {
        sqlite3_exec(file, "PRAGMA synchronous = OFF; PRAGMA journal_mode = MEMORY", nullptr, nullptr, nullptr);
        const char* const tables[] = {"entity", "edit"};
        const std::string table = tables[random() % 2];
        sqlite3_stmt* row = nullptr;
        if (sqlite3_prepare_v2(file, ("SELECT rowid, body FROM " + table + " ORDER BY random() LIMIT 1").c_str(), -1,
                               &row, nullptr)
                == SQLITE_OK
            && sqlite3_step(row) == SQLITE_ROW) {
            const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(row, 1));
            const std::string body = changedJson(text ? text : "", random);
            const std::string where = " WHERE rowid = " + std::to_string(sqlite3_column_int64(row, 0));
            sqlite3_finalize(std::exchange(row, nullptr));
            const std::string kinds[] = {"'capture'", "'trial'", "'settings'", "'undo'", "7", "x'00'"};
            const std::string sql = random() % 6 == 0 ? "UPDATE " + table + " SET kind = " + kinds[random() % 6] + where
                                                      : "UPDATE " + table + " SET body = ?" + where;
            if (!body.empty() && sqlite3_prepare_v2(file, sql.c_str(), -1, &row, nullptr) == SQLITE_OK) {
                sqlite3_bind_text(row, 1, body.data(), static_cast<int>(body.size()), SQLITE_TRANSIENT);
                if (sqlite3_step(row) == SQLITE_DONE)
                    changed = "done";
            }
        }
        sqlite3_finalize(row);
    }
    sqlite3_close(file);
    return changed.empty() ? changed : bytesOf(path);
}

/// A session with a packet handed out, and that packet with one trial read.
struct HandedOut {
    Document document, packet;
    HandedOut()
    {
        document = sample::withTrials(24);
        const analysis::BlindPacket made = analysis::blindPacket(document, 0.1, 9, std::string(32, 'a'));
        document = apply(document, handOutPacket(document, made.record));
        packet = made.document;
        packet.settings.reader = "B. Two";
        const TrialId trial = packet.settings.reread->places.front().trial;
        for (const auto& [kind, frame] : {std::pair(MarkKind::Press, 25), std::pair(MarkKind::Response, 90)})
            packet = apply(packet, markBlind(packet, trial, kind, sample::mark(frame), "zoom 2"));
        packet = apply(packet, acceptReading(packet, trial, find(packet, trial)->readings.front().id));
    }
};
const HandedOut& handedOut()
{
    static const HandedOut both;
    return both;
}

void takePacket(const std::string& input)
{
    try {
        const Document packet = fromJson(bytes(input));
        analysis::IncomingReadings incoming = analysis::incomingReadings(handedOut().document, packet);
        if (!incoming.readings.empty())
            apply(handedOut().document, bringInReadings(handedOut().document, incoming.readings, incoming.reader));
        if (!incoming.rejects.empty())
            apply(handedOut().document, takeRejects(handedOut().document, incoming.rejects, incoming.reader));
    } catch (const core::Error&) {
    }
}

std::vector<std::string> packetSeeds() { return {compact(toJson(handedOut().packet))}; }

} // namespace

std::vector<Target> sessionTargets()
{
    return {{"session-text", takeText, textSeeds, changedJson},
            {"session-results", computeResults, resultSeeds, changedJson},
            {"session-journal", takeJournal, journalSeeds, changedJournal},
            {"session-file", takeFile, fileSeeds, changedFile},
            {"packet", takePacket, packetSeeds, changedJson}};
}

} // namespace fuzz
