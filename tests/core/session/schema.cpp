#include "schema.h"
#include "core/session/entity_kinds.h"
#include "core/session/field_tables.h"
#include "core/session/file_format.h"
#include <QJsonDocument>

namespace session {

namespace {

constexpr const char* noControls = "[^\\u0000-\\u0008\\u000b-\\u001f\\u007f]*$";

/// Collects what the tables name, under "$defs".
struct Definitions {
    QJsonObject made;

    template <class T> QJsonObject refer()
    {
        const QString name = QLatin1String(FieldTable<T>::name);
        if (!made.contains(name)) {
            made.insert(name, QJsonObject()); // no table holds itself, but two may hold a third
            made.insert(name, describe<T>());
        }
        return {{"$ref", "#/$defs/" + name}};
    }

    template <class T> QJsonObject describe()
    {
        QJsonObject properties, object{{"type", "object"}, {"additionalProperties", false}};
        QJsonArray required;
        FieldTable<T>::fields([&](const auto& field) {
            using Value = std::remove_cvref_t<decltype(in(std::declval<T&>(), field))>;
            QJsonObject schema = of(field.rule, static_cast<Value*>(nullptr));
            if (*field.about)
                schema.insert("description", QString::fromUtf8(field.about));
            properties.insert(QLatin1String(field.key), schema);
            if (field.always)
                required.append(QLatin1String(field.key));
        });
        object.insert("properties", properties);
        object.insert("required", required);
        if (*FieldTable<T>::about)
            object.insert("description", QString::fromUtf8(FieldTable<T>::about));
        const QJsonObject rules = QJsonDocument::fromJson(FieldTable<T>::rules).object();
        for (auto rule = rules.begin(); rule != rules.end(); ++rule)
            object.insert(rule.key(), rule.value());
        return object;
    }

    template <class Rule, class T> QJsonObject of(const Rule& rule, std::optional<T>*)
    {
        return of(rule, static_cast<T*>(nullptr));
    }
    template <class Rule, class T> QJsonObject of(const List<Rule>& list, std::vector<T>*)
    {
        QJsonObject schema{{"type", "array"},
                           {"items", of(list.of, static_cast<T*>(nullptr))},
                           {"maxItems", whole(static_cast<std::int64_t>(list.most))}};
        if (list.least > 0)
            schema.insert("minItems", whole(static_cast<std::int64_t>(list.least)));
        return schema;
    }
    template <class E, std::size_t N> QJsonObject of(const OneOf<E, N>& rule, E*)
    {
        QJsonArray names;
        for (const char* name : rule.names)
            names.append(QLatin1String(name));
        return {{"enum", names}};
    }
    template <class T>
    requires requires { FieldTable<T>::name; }
    QJsonObject of(const Nested&, T*) { return refer<T>(); }
    QJsonObject of(const Text& rule, const void*)
    {
        return {{"type", "string"},
                {"maxLength", whole(static_cast<std::int64_t>(rule.most))},
                {"pattern", QLatin1String(rule.filled ? "^(?=[\\s\\S]*[^ \\t\\n])" : "^") + QLatin1String(noControls)}};
    }
    QJsonObject of(const Time&, const void*)
    {
        return {{"type", "string"},
                {"maxLength", 40},
                {"pattern", R"(^$|^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?(Z|[+-]\d{2}:\d{2})$)"}};
    }
    QJsonObject of(const Hex& rule, const void*)
    {
        return {{"type", "string"},
                {"pattern", QString(rule.empty ? "^([0-9a-f]{%1})?$" : "^[0-9a-f]{%1}$").arg(rule.digits)}};
    }
    QJsonObject of(const Number&, const void*) { return of(Whole{"", 1, limits::number}, nullptr); }
    QJsonObject of(const Whole& rule, const void*)
    {
        return {{"type", "integer"}, {"minimum", whole(rule.least)}, {"maximum", whole(rule.most)}};
    }
    QJsonObject of(const Real& rule, const void*)
    {
        const QJsonObject range{{"type", "number"}, {"minimum", rule.least}, {"maximum", rule.most}};
        if (!rule.orNone)
            return range;
        return {{"anyOf", QJsonArray{QJsonObject{{"const", 0}}, range}}};
    }
    QJsonObject of(const Flag&, const void*) { return {{"type", "boolean"}}; }
    QJsonObject of(const Checklist& rule, const void*)
    {
        QJsonObject properties;
        QJsonObject filled = of(Text{""}, nullptr);
        filled.insert("minLength", 1);
        for (const TextField& field : rule.fields())
            properties.insert(QLatin1String(field.key), filled);
        return {{"type", "object"}, {"properties", properties}, {"additionalProperties", false}};
    }
    QJsonObject of(const Rate&, const void*)
    {
        const QJsonObject part = of(Whole{"", 1, std::numeric_limits<std::int64_t>::max()}, nullptr);
        return {{"type", "object"},
                {"properties", QJsonObject{{"numerator", part}, {"denominator", part}}},
                {"required", QJsonArray{"numerator", "denominator"}},
                {"additionalProperties", false}};
    }
    QJsonObject of(const Stamp&, const void*)
    {
        return {{"type", QJsonArray{"number", "null"}},
                {"minimum", -limits::stampSeconds},
                {"maximum", limits::stampSeconds}};
    }
};

/// Whatever fits a line stands on one: a field of an entity is to be read as a line.
QByteArray laidOut(const QJsonValue& value, int indent)
{
    const bool isArray = value.isArray();
    const QByteArray whole = QJsonDocument(isArray ? QJsonDocument(value.toArray()) : QJsonDocument(value.toObject()))
                                 .toJson(QJsonDocument::Compact);
    if (!isArray && !value.isObject())
        return QJsonDocument(QJsonArray{value}).toJson(QJsonDocument::Compact).chopped(1).sliced(1);
    if (whole.size() + indent <= 180)
        return whole;
    QByteArrayList lines;
    const QByteArray margin(indent + 1, ' ');
    if (isArray)
        for (const auto item : value.toArray())
            lines.append(margin + laidOut(item, indent + 1));
    const QJsonObject object = value.toObject();
    for (auto field = object.begin(); field != object.end(); ++field)
        lines.append(margin + '"' + field.key().toUtf8() + "\": " + laidOut(field.value(), indent + 1));
    return (isArray ? "[\n" : "{\n") + lines.join(",\n") + '\n' + QByteArray(indent, ' ') + (isArray ? ']' : '}');
}

} // namespace

QByteArray sessionSchema()
{
    Definitions definitions;
    QJsonObject properties{
        {"format", QJsonObject{{"const", formatName}}},
        {"version", QJsonObject{{"const", formatVersion}}},
        {"nextId", definitions.of(Number{}, nullptr)},
        {"settings", definitions.refer<Settings>()},
    };
    properties.insert("crops", QJsonObject{{"type", "array"},
                                           {"maxItems", whole(static_cast<std::int64_t>(limits::crops))},
                                           {"items", QJsonObject{{"type", "string"}, {"contentEncoding", "base64"}}},
                                           {"description", "PNG pictures; marks refer to them by SHA-256."}});
    QJsonArray required{"format", "version", "nextId", "settings"};
    forKinds([&]<class T>(const EntityKind<T>& kind) {
        properties.insert(QLatin1String(kind.list),
                          QJsonObject{{"type", "array"},
                                      {"items", definitions.refer<T>()},
                                      {"maxItems", whole(static_cast<std::int64_t>(kind.most))}});
        if (!kind.isNew)
            required.append(QLatin1String(kind.list));
    });
    const QJsonObject schema{
        {"$schema", "https://json-schema.org/draft/2020-12/schema"},
        {"title", "Tallyframe session"},
        {"description", "A session as text, UTF-8. Lists are in ascending order of id. References to nothing are"
                        " left out. Beyond this schema, everything referred to has to be in the session, regions"
                        " lie inside their picture, marks inside their capture, no number or position is used"
                        " twice."},
        {"type", "object"},
        {"properties", properties},
        {"required", required},
        {"additionalProperties", false},
        {"$defs", definitions.made},
    };
    return laidOut(schema, 0) + '\n';
}

} // namespace session
