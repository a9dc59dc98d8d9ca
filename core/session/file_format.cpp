#include "core/session/file_format.h"
#include "core/error.h"
#include "core/session/checks.h"
#include "core/session/entity_json.h"
#include "core/session/json_fields.h"
#include "core/session/json_text.h"
#include "core/session/limits.h"
#include <QJsonArray>
#include <QJsonDocument>

namespace session {

namespace {

constexpr const char* formatName = "tallyframe session";

template <class T> QJsonArray toArray(const Table<T>& table)
{
    QJsonArray array;
    for (const auto& [id, entity] : table)
        array.append(toObject(*entity));
    return array;
}

/// Listed by ascending number, so that equal sessions are equal files and an index means the same in file and memory.
template <class T> void readTable(Fields& fields, const char* key, std::size_t limit, Table<T>& table)
{
    fields.list(key, limit, [&](const QJsonValue& value, const Place& place) {
        auto entity = std::make_shared<T>();
        read(value, place, *entity);
        if (!table.empty() && entity->id <= table.rbegin()->first) {
            const bool twice = table.contains(entity->id);
            throw Problem{Place(place, "id").pointer(),
                          "number " + std::to_string(entity->id.value)
                              + (twice ? " is given to two things of this list" : " comes after a higher one")};
        }
        const auto id = entity->id;
        table.emplace_hint(table.end(), id, std::move(entity));
    });
}

void checkVersion(Fields& fields)
{
    if (fields.text("format") != formatName)
        throw Problem{"/format", std::string("this isn't a session file; its format isn't “") + formatName + "”"};
    const std::int64_t version = fields.integer("version", 1);
    if (version > formatVersion)
        throw core::Error(core::ErrorKind::Unsupported,
                          "/version: the file has format version " + std::to_string(version)
                              + "; this program reads up to version " + std::to_string(formatVersion)
                              + ", so a newer program wrote it");
}

Document readDocument(const QByteArray& json)
{
    const Place file;
    Fields fields(parseObject(json), file);
    checkVersion(fields);
    Document document;
    document.nextId = fields.integer("nextId");
    fields.object("settings",
                  [&](const QJsonValue& value, const Place& place) { read(value, place, document.settings); });
    readTable(fields, "configurations", limits::configurations, document.configurations);
    readTable(fields, "runs", limits::runs, document.runs);
    readTable(fields, "errorSources", limits::errorSources, document.errorSources);
    readTable(fields, "clocks", limits::clocks, document.clocks);
    readTable(fields, "captures", limits::captures, document.captures);
    readTable(fields, "trials", limits::trials, document.trials);
    fields.done();
    checkAll(document);
    return document;
}

} // namespace

QByteArray toJson(const Document& document)
{
    const QJsonObject object{
        {"format", formatName},
        {"version", formatVersion},
        {"nextId", QJsonValue(static_cast<qint64>(document.nextId))},
        {"settings", toObject(document.settings)},
        {"configurations", toArray(document.configurations)},
        {"runs", toArray(document.runs)},
        {"errorSources", toArray(document.errorSources)},
        {"clocks", toArray(document.clocks)},
        {"captures", toArray(document.captures)},
        {"trials", toArray(document.trials)},
    };
    return QJsonDocument(object).toJson(QJsonDocument::Indented);
}

Document fromJson(const QByteArray& json)
{
    if (json.size() > limits::fileBytes)
        throw core::Error(core::ErrorKind::Malformed, "the file has " + std::to_string(json.size())
                                                          + " bytes; no session needs more than "
                                                          + std::to_string(limits::fileBytes));
    try {
        return readDocument(json);
    } catch (const Problem& problem) {
        throw core::Error(core::ErrorKind::Malformed, problem.pointer + ": " + problem.sentence);
    }
}

} // namespace session
