#include "core/session/file_format.h"
#include "core/error.h"
#include "core/session/entity_kinds.h"
#include "core/session/field_tables.h"
#include <QJsonDocument>

namespace session {

namespace {

template <class T> QJsonArray toArray(const Table<T>& table)
{
    QJsonArray array;
    for (const auto& [id, entity] : table)
        array.append(writtenFields(*entity));
    return array;
}

/// Listed by ascending number, so that equal sessions are equal files and an index means the same in file and memory.
template <class T>
void readTable(const EntityKind<T>& kind, const QJsonValue& value, const Place& place, Table<T>& table)
{
    std::size_t i = 0;
    for (const auto item : listOf(value, kind.most, place)) {
        const Place at(place, i++);
        auto entity = std::make_shared<T>();
        readFields(item, at, *entity);
        if (!table.empty() && entity->id <= table.rbegin()->first) {
            const bool twice = table.contains(entity->id);
            throw Problem{Place(at, "id").pointer(),
                          "number " + std::to_string(entity->id.value)
                              + (twice ? " is given to two things of this list" : " comes after a higher one")};
        }
        const auto id = entity->id;
        table.emplace_hint(table.end(), id, std::move(entity));
    }
}

void checkVersion(Fields& fields)
{
    const Place file;
    if (textOf(fields.take("format"), Place(file, "format")) != formatName)
        throw Problem{"/format", std::string("this isn't a session file; its format isn't “") + formatName + "”"};
    std::int64_t version = 0;
    readValue(Whole{"the version", 1, limits::number}, fields.take("version"), Place(file, "version"), version);
    if (version > formatVersion)
        throw core::Error(core::ErrorKind::Unsupported,
                          "/version: the file has format version " + std::to_string(version)
                              + "; this program reads up to version " + std::to_string(formatVersion)
                              + ", so a newer program wrote it");
}

/// As base64; their names follow from their bytes.
void readCrops(const QJsonValue& value, const Place& place, CropBytes& crops)
{
    std::size_t i = 0;
    for (const auto item : listOf(value, limits::crops, place)) {
        const Place at(place, i++);
        const auto png = QByteArray::fromBase64Encoding(QByteArray::fromStdString(textOf(item, at)),
                                                        QByteArray::AbortOnBase64DecodingErrors);
        require(png && png.decoded.startsWith("\x89PNG"), at,
                [] { return std::string("this is no PNG picture in base64"); });
        crops.emplace(sha256Of(png.decoded), *png);
    }
}

Document readDocument(const QByteArray& json, CropBytes& crops)
{
    const Place file;
    Fields fields(parseObject(json), file);
    checkVersion(fields);
    Document document;
    readValue(Number{}, fields.take("nextId"), Place(file, "nextId"), document.nextId);
    readFields(fields.take("settings"), Place(file, "settings"), document.settings);
    forKinds([&](const auto& kind) {
        const QJsonValue list = kind.isNew ? fields.takeIfThere(kind.list) : fields.take(kind.list);
        if (!list.isUndefined())
            readTable(kind, list, Place(file, kind.list), document.*kind.table);
    });
    if (const QJsonValue there = fields.takeIfThere("crops"); !there.isUndefined())
        readCrops(there, Place(file, "crops"), crops);
    fields.done();
    requireConsistent(document);
    return document;
}

} // namespace

QByteArray toJson(const Document& document, const CropBytes& crops)
{
    QJsonObject object{
        {"format", formatName},
        {"version", formatVersion},
        {"nextId", whole(document.nextId)},
        {"settings", writtenFields(document.settings)},
    };
    forKinds([&](const auto& kind) { object.insert(QLatin1String(kind.list), toArray(document.*kind.table)); });
    if (!crops.empty()) {
        QJsonArray pictures;
        for (const auto& [sha256, png] : crops)
            pictures.append(QLatin1String(png.toBase64()));
        object.insert("crops", pictures);
    }
    return QJsonDocument(object).toJson(QJsonDocument::Indented);
}

Document fromJson(const QByteArray& json, CropBytes* crops)
{
    if (json.size() > limits::fileBytes)
        throw core::Error(core::ErrorKind::Malformed, "the file has " + std::to_string(json.size())
                                                          + " bytes; no session needs more than "
                                                          + std::to_string(limits::fileBytes));
    try {
        CropBytes found;
        return readDocument(json, crops ? *crops : found);
    } catch (const Problem& problem) {
        throw core::Error(core::ErrorKind::Malformed, problem.text());
    }
}

} // namespace session
