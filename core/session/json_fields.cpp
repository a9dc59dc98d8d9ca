#include "core/session/json_fields.h"
#include "core/session/consistency.h"
#include <algorithm>

namespace session {

namespace {

const char* kindOf(const QJsonValue& value)
{
    switch (value.type()) {
    case QJsonValue::Null: return "null";
    case QJsonValue::Bool: return "true or false";
    case QJsonValue::Double: return "a number";
    case QJsonValue::String: return "text";
    case QJsonValue::Array: return "a list";
    case QJsonValue::Object: return "an object";
    case QJsonValue::Undefined: break;
    }
    return "nothing";
}

[[noreturn]] void refuseType(const QJsonValue& value, const Place& place, const char* wanted)
{
    throw Problem{place.pointer(), std::string("this is ") + kindOf(value) + " where " + wanted + " belongs"};
}

} // namespace

std::string textOf(const QJsonValue& value, const Place& place)
{
    if (!value.isString())
        refuseType(value, place, "text");
    const QString text = value.toString();
    if (!text.isValidUtf16())
        throw Problem{place.pointer(),
                      "the text holds half of a surrogate pair (\\ud800 to \\udfff without its partner)"};
    return text.toStdString();
}

std::int64_t integerOf(const QJsonValue& value, const Place& place)
{
    if (!value.isDouble())
        refuseType(value, place, "a whole number");
    // Qt gives the fallback back when the number has a fraction or doesn't fit: two fallbacks tell that from a match.
    const std::int64_t number = value.toInteger(0);
    if (number == 0 && value.toInteger(1) == 1)
        throw Problem{place.pointer(), "the number isn't a whole number of at most 64 bits"};
    return number;
}

double numberOf(const QJsonValue& value, const Place& place)
{
    if (!value.isDouble())
        refuseType(value, place, "a number");
    return value.toDouble();
}

bool flagOf(const QJsonValue& value, const Place& place)
{
    if (!value.isBool())
        refuseType(value, place, "true or false");
    return value.toBool();
}

QJsonArray listOf(const QJsonValue& value, std::size_t limit, const Place& place)
{
    if (!value.isArray())
        refuseType(value, place, "a list");
    const QJsonArray items = value.toArray();
    if (static_cast<std::size_t>(items.size()) > limit)
        throw Problem{place.pointer(), "the list has " + std::to_string(items.size()) + " items; at most "
                                           + std::to_string(limit) + " are read"};
    return items;
}

std::size_t choiceOf(const QJsonValue& value, std::span<const char* const> names, const Place& place)
{
    const std::string text = textOf(value, place);
    const auto found = std::ranges::find(names, text);
    if (found == names.end()) {
        std::string known;
        for (const char* name : names)
            known += std::string(known.empty() ? "" : ", ") + name;
        throw Problem{place.pointer(), inQuotes(text) + " isn't one of: " + known};
    }
    return static_cast<std::size_t>(found - names.begin());
}

Fields::Fields(const QJsonValue& value, const Place& in) : m_in(in), m_object(value.toObject())
{
    if (!value.isObject())
        refuseType(value, in, "an object");
}

QJsonValue Fields::takeIfThere(const char* key)
{
    const QJsonValue value = m_object.value(QLatin1String(key));
    if (!value.isUndefined())
        m_taken.emplace_back(key);
    return value;
}

QJsonValue Fields::take(const char* key)
{
    const QJsonValue value = takeIfThere(key);
    if (value.isUndefined())
        throw Problem{Place(m_in, key).pointer(), "this field is missing"};
    return value;
}

void Fields::done()
{
    if (static_cast<std::size_t>(m_object.size()) == m_taken.size())
        return;
    for (auto field = m_object.begin(); field != m_object.end(); ++field) {
        const QString key = field.key();
        if (std::ranges::none_of(m_taken, [&](QLatin1String taken) { return key == taken; }))
            throw Problem{m_in.pointer() + '/' + pointerPart(key.toStdString()), "this field isn't known"};
    }
}

} // namespace session
