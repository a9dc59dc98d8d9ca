#include "core/session/entity_json.h"
#include "core/session/entity_kinds.h"
#include "core/session/field_tables.h"

namespace session {

namespace {

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
    if (change.before)
        object.insert(QLatin1String("before"), toObject(*change.before));
    if (change.after)
        object.insert(QLatin1String("after"), toObject(*change.after));
    return object;
}

template <std::size_t Kind = 0> Entity readKind(std::size_t kind, const QJsonValue& value, const Place& place)
{
    if constexpr (Kind + 1 < std::variant_size_v<Entity>)
        if (kind != Kind)
            return readKind<Kind + 1>(kind, value, place);
    std::variant_alternative_t<Kind, Entity> entity;
    readFields(value, place, entity);
    return entity;
}

} // namespace

QJsonObject toObject(const Entity& entity)
{
    return std::visit([](const auto& value) { return writtenFields(value); }, entity);
}

Entity readEntity(std::size_t kind, const QJsonValue& value, const Place& place)
{
    return readKind(kind, value, place);
}

QJsonObject toObject(const Edit& edit)
{
    QJsonArray changes;
    for (const Change& change : edit.changes)
        changes.append(toObject(change));
    return {
        {"label", qtText(edit.label)},
        {"time", qtText(edit.time)},
        {"nextId", whole(edit.nextId)},
        {"changes", changes},
        {"kind", QLatin1String(names::editKind[static_cast<std::size_t>(edit.kind)])},
    };
}

void read(const QJsonValue& value, const Place& place, Edit& edit)
{
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
}

} // namespace session
