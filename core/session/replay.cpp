#include "core/session/replay.h"
#include "core/error.h"
#include "core/session/checks.h"
#include "core/session/json_fields.h"
#include "core/session/json_text.h"
#include <QJsonDocument>
#include <algorithm>

namespace session {

namespace {

/// Of the file that was saved; empty when the payload doesn't say.
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

/// History alone: what the file holds already isn't done again.
void follow(History& history, const Record& record)
{
    switch (record.kind) {
    case RecordKind::Edit: history.did(std::make_shared<const Step>(record.payload)); break;
    case RecordKind::Undo:
        if (history.toUndo())
            history.undid();
        break;
    case RecordKind::Redo:
        if (history.toRedo())
            history.redid();
        break;
    case RecordKind::Saved:
    case RecordKind::Look: break;
    }
}

const Edit& editOf(const Step* step)
{
    if (!step)
        throw core::Error(core::ErrorKind::Malformed, "There is nothing to undo or redo at this point.");
    return step->edit();
}

/// Throws core::Error and leaves both as they were when it can't be done.
void perform(Document& document, History& history, const Record& record)
{
    switch (record.kind) {
    case RecordKind::Edit: {
        auto step = std::make_shared<const Step>(record.payload);
        applyInPlace(document, step->edit());
        history.did(std::move(step));
        break;
    }
    case RecordKind::Look: applyInPlace(document, Step(record.payload).edit()); break;
    case RecordKind::Undo:
        applyInPlace(document, reversed(editOf(history.toUndo())));
        history.undid();
        break;
    case RecordKind::Redo:
        applyInPlace(document, editOf(history.toRedo()));
        history.redid();
        break;
    case RecordKind::Saved: break;
    }
}

std::string withoutStop(std::string sentence)
{
    while (sentence.ends_with('.'))
        sentence.pop_back();
    return sentence;
}

} // namespace

QByteArray savedPayload(const QByteArray& fileHash)
{
    return QJsonDocument(QJsonObject{{"sha256", QString::fromLatin1(fileHash.toHex())}}).toJson(QJsonDocument::Compact);
}

Replayed replay(Document file, const QByteArray& fileHash, const JournalScan& scan)
{
    Replayed result;
    result.goodBytes = scan.goodBytes;
    result.trouble = scan.trouble;
    const auto& records = scan.records;
    const auto first = firstToReplay(records, fileHash);
    result.fits = first && (scan.goodBytes > 0 || scan.trouble.empty());
    if (!result.fits) {
        if (scan.trouble.empty())
            result.trouble = "it was written for another state of the file";
        result.goodBytes = 0;
        result.state.document = std::make_shared<const Document>(std::move(file));
        return result;
    }
    History history;
    for (std::size_t i = 0; i < *first; ++i)
        follow(history, records[i]);
    result.savedSequence = result.lastSequence = *first > 0 ? records[*first - 1].sequence : 0;
    for (std::size_t i = *first; i < records.size(); ++i) {
        try {
            perform(file, history, records[i]);
        } catch (const core::Error& error) {
            result.trouble = "change " + std::to_string(records[i].sequence) + " of "
                             + std::to_string(records.back().sequence)
                             + " in it can't be done: " + withoutStop(error.what());
            result.goodBytes = records[i].end - lengthOf(records[i]);
            break;
        }
        result.lastSequence = records[i].sequence;
        result.olderFile = result.olderFile || records[i].base != fileHash;
    }
    result.state = {std::make_shared<const Document>(std::move(file)), std::move(history), result.lastSequence};
    return result;
}

} // namespace session
