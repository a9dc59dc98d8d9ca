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
        analysis::compute(document);
    } catch (const core::Error&) {
    }
}

std::vector<std::string> textSeeds()
{
    return {toJson(sample::planned()).toStdString(), toJson(sample::withTrials(2)).toStdString(),
            toJson(sample::rich(), {{sample::hexOf("crop", QCryptographicHash::Sha256), "crop"}}).toStdString(), "{}"};
}

/// The session itself is as it should be, its journal is the input.
void takeJournal(const std::string& input)
{
    static const std::filesystem::path text =
        scratchFile("old.tallyframe", toJson(sample::withTrials(2)).toStdString());
    scratchFile("old.tallyframe.journal", input);
    try {
        session::readText(text);
    } catch (const core::Error&) {
    }
}

std::vector<std::string> journalSeeds()
{
    return {"tallyframe journal 1\n", std::string("tallyframe journal 1\n") + std::string(80, '\0')};
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

std::vector<std::string> packetSeeds() { return {toJson(handedOut().packet).toStdString()}; }

} // namespace

std::vector<Target> sessionTargets()
{
    return {{"session-text", takeText, textSeeds, changedJson},
            {"session-journal", takeJournal, journalSeeds, nullptr},
            {"session-file", takeFile, fileSeeds, changedFile},
            {"packet", takePacket, packetSeeds, changedJson}};
}

} // namespace fuzz
