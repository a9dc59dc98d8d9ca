#include "core/session/edit_json.h"
#include "core/error.h"
#include "core/session/entity_kinds.h"
#include "core/session/field_tables.h"
#include <QJsonDocument>

namespace session {

namespace {

/// `kind`: index in Entity.
template <std::size_t Kind = 0> Entity readEntity(std::size_t kind, const QJsonValue& value, const Place& place)
{
    if constexpr (Kind + 1 < std::variant_size_v<Entity>)
        if (kind != Kind)
            return readEntity<Kind + 1>(kind, value, place);
    std::variant_alternative_t<Kind, Entity> entity;
    readFields(value, place, entity);
    return entity;
}

Change readChange(const QJsonValue& value, const Place& place)
{
    Fields fields(value, place);
    const std::size_t kind = choiceOf(fields.take("kind"), entityKinds, Place(place, "kind"));
    Change change;
    const auto side = [&](const char* key, std::optional<Entity>& to) {
        const QJsonValue there = fields.takeIfThere(key);
        if (!there.isUndefined())
            to = readEntity(kind, there, Place(place, key));
    };
    side("before", change.before);
    side("after", change.after);
    fields.done();
    return change;
}

QJsonObject toObject(const Change& change)
{
    const std::optional<Entity>& present = change.after ? change.after : change.before;
    QJsonObject object;
    if (present)
        object.insert(QLatin1String("kind"), QLatin1String(entityKinds[present->index()]));
    const auto side = [&](const char* key, const std::optional<Entity>& from) {
        if (from)
            object.insert(QLatin1String(key),
                          std::visit([](const auto& value) { return writtenFields(value); }, *from));
    };
    side("before", change.before);
    side("after", change.after);
    return object;
}

Edit readEdit(const QJsonValue& value)
{
    const Place place;
    Edit edit;
    Fields fields(value, place);
    edit.label = textOf(fields.take("label"), Place(place, "label"));
    edit.time = textOf(fields.take("time"), Place(place, "time"));
    edit.nextId = integerOf(fields.take("nextId"), Place(place, "nextId"));
    if (const QJsonValue kind = fields.takeIfThere("kind"); !kind.isUndefined()) // not in journals of earlier times
        edit.kind = static_cast<EditKind>(choiceOf(kind, names::editKind, Place(place, "kind")));
    const Place changes(place, "changes");
    std::size_t i = 0;
    for (const auto change : listOf(fields.take("changes"), limits::changes, changes))
        edit.changes.push_back(readChange(change, Place(changes, i++)));
    fields.done();
    return edit;
}

} // namespace

QByteArray bodyOf(const Edit& edit)
{
    QJsonArray changes;
    for (const Change& change : edit.changes)
        changes.append(toObject(change));
    const QJsonObject object{
        {"label", qtText(edit.label)},
        {"time", qtText(edit.time)},
        {"nextId", whole(edit.nextId)},
        {"changes", changes},
        {"kind", QLatin1String(names::editKind[static_cast<std::size_t>(edit.kind)])},
    };
    return QJsonDocument(object).toJson(QJsonDocument::Compact);
}

Edit editOf(const QByteArray& body)
{
    try {
        return readEdit(parseObject(body));
    } catch (const Problem& problem) {
        throw core::Error(core::ErrorKind::Malformed, problem.text());
    }
}

} // namespace session
