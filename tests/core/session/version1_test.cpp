#include "core/session/version1.h"
#include "core/error.h"
#include "core/session/edits.h"
#include "core/session/evidence_store.h"
#include "core/session/open_session.h"
#include "sample_document.h"
#include "session_listener.h"
#include <QCryptographicHash>
#include <QFile>
#include <QtEndian>
#include <catch2/catch.hpp>

using namespace session;
using Catch::Contains;

namespace {

namespace fs = std::filesystem;

QByteArray sha256(const QByteArray& bytes) { return QCryptographicHash::hash(bytes, QCryptographicHash::Sha256); }

/// CRC-32 of ISO 3309, bit by bit.
std::uint32_t crc32(const QByteArray& bytes)
{
    std::uint32_t crc = 0xFFFFFFFFu;
    for (const char byte : bytes) {
        crc ^= static_cast<unsigned char>(byte);
        for (int bit = 0; bit < 8; ++bit)
            crc = (crc & 1) != 0 ? 0xEDB88320u ^ (crc >> 1) : crc >> 1;
    }
    return ~crc;
}

template <class T> QByteArray little(T value)
{
    QByteArray bytes(sizeof value, Qt::Uninitialized);
    qToLittleEndian(value, bytes.data());
    return bytes;
}

/// A record as version 1 wrote it.
QByteArray record(std::uint32_t kind, std::int64_t sequence, const QByteArray& base, const QByteArray& payload)
{
    const QByteArray length = little(static_cast<std::uint32_t>(payload.size()));
    const QByteArray rest = little(kind) + little(sequence) + base + payload;
    return length + little(crc32(length + rest)) + rest;
}

} // namespace

TEST_CASE("a session of version 1 is taken over with its journal and its crops", "[session]")
{
    Folder folder;
    const fs::path path = folder / "old.tallyframe";
    const Document file = sample::rich();
    const QByteArray json = toJson(file), png("\x89PNG crop");
    write(path, json);
    fs::create_directory(folder / "old.evidence");
    const std::string hash = sha256(png).toHex().toStdString();
    write(folder / "old.evidence" / (hash + ".png"), png);
    write(folder / "old.evidence" / (std::string(64, 'a') + ".png"), "not what its name says");
    const Edit first = addRun(file, "first", {});
    const Document afterFirst = apply(file, first);
    const Edit second = addRun(afterFirst, "second", {});
    const Document afterSecond = apply(afterFirst, second);
    const QByteArray base = sha256(json);
    QByteArray journal = "tallyframe journal 1\n" + record(1, 1, base, bodyOf(first))
                         + record(1, 2, base, bodyOf(second)) + record(2, 3, base, "{}");
    SECTION("whole")
    {
        write(folder / "old.tallyframe.journal", journal);
        const Version1 old = readText(path);
        CHECK(old.session.document.runs.size() == afterFirst.runs.size());
        CHECK(old.crops == CropBytes{{hash, png}});
        REQUIRE(old.reports.size() == 1);
        CHECK_THAT(old.reports.front(), Contains("1 of the crops"));
        SessionStore::write(folder / "new.tallyframe", old.session, [&](const SessionStore::AddCrop& add) {
            for (const auto& [name, bytes] : old.crops)
                add(name, bytes);
        });
        const auto session = OpenSession::open(folder / "new.tallyframe", {});
        CHECK(session->latest() == old.session.document);
        CHECK(session->evidence()->load(hash).has_value());
        REQUIRE(session->redoLabel());
        session->redo();
        CHECK(session->latest().runs.size() == afterSecond.runs.size());
        session->undo();
        session->undo();
        CHECK(session->latest().runs.size() == file.runs.size());
        CHECK_FALSE(session->undoLabel());
    }
    SECTION("torn in its last record")
    {
        write(folder / "old.tallyframe.journal", journal.chopped(3));
        const Version1 old = readText(path);
        CHECK(old.session.document == afterSecond);
        REQUIRE(old.reports.size() == 2);
        CHECK_THAT(old.reports.front(), Contains("up to change 2 only. It ends within a record."));
    }
    SECTION("of another state of the file")
    {
        write(path, toJson(afterSecond));
        write(folder / "old.tallyframe.journal", journal);
        const Version1 old = readText(path);
        CHECK(old.session.document == afterSecond);
        CHECK(old.session.log.empty());
        CHECK_THAT(old.reports.front(), Contains("another state of the file"));
    }
    SECTION("none") { CHECK(readText(path).session.document == file); }
}
