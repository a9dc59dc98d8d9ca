#pragma once // not public: what field_tables.h is made of, and what follows from it
#include "core/session/consistency.h"
#include "core/session/ids.h"
#include "core/session/json_fields.h"
#include "core/session/limits.h"
#include "core/timing/rate_evidence.h"
#include "core/timing/units.h"
#include <cmath>
#include <type_traits>

namespace session {

// What a field may hold. `what` names it in sentences: "the name of a region".

/// UTF-8 of at most `most` characters; `filled`: not nothing but blanks.
struct Text {
    const char* what;
    std::size_t most = limits::text;
    bool filled = false;
};
struct Time {}; ///< ISO 8601 with offset; empty while there is none
/// Lower-case hexadecimal digits; `empty`: or nothing.
struct Hex {
    std::size_t digits;
    bool empty = true;
};
struct Number {}; ///< number of a thing, from 1; an optional one may be 0, none
struct Whole {
    const char* what;
    std::int64_t least, most;
};
/// A finite number in that range; `orNone`: or 0, where the range begins above it. Bounds are far outside of anything
/// measured and keep what is worked out from the numbers finite.
struct Real {
    const char* what;
    double least, most;
    bool orNone = false;
};
struct Flag {};
template <class E, std::size_t N> struct OneOf {
    const char* const (&names)[N]; ///< in the order of the enumeration
};
template <class E, std::size_t N> constexpr OneOf<E, N> oneOf(const char* const (&names)[N]) { return {names}; }
struct Checklist {
    std::span<const TextField> (*fields)();
};
struct Rate {};   ///< timing::FrameRate
struct Stamp {};  ///< seconds; NaN stands as null
struct Nested {}; ///< of a type with a table of its own
template <class Rule> struct List {
    Rule of;
    std::size_t most;
    const char* what; ///< "gaps"
    std::size_t least = 0;
};

/// One field of T: `get` (a member, or a function that gives one) finds it in a T.
template <class Get, class Rule> struct Field {
    const char* key;
    Get get;
    Rule rule;
    const char* about; ///< in the schema
    bool always;       ///< else it is left out where it is as in asNew(T)
};
template <class Get, class Rule>
constexpr Field<Get, Rule> always(const char* key, Get get, Rule rule, const char* about = "")
{
    return {key, get, rule, about, true};
}
template <class Get, class Rule>
constexpr Field<Get, Rule> unlessNew(const char* key, Get get, Rule rule, const char* about = "")
{
    return {key, get, rule, about, false};
}

template <class T> struct FieldTable;
/// What every table begins with: beside these it has a `name` (in the schema) and `fields`, which shows each Field to
/// the function that it is given; no tuple of them, which would cost the compiler dearly.
template <class X> struct FieldsOf {
    using T = X;
    static constexpr const char* about = "";   ///< in the schema
    static constexpr const char* rules = "{}"; ///< the same, JSON: what holds between fields
};

template <class T> T asNew(const T&) { return {}; }
/// Left out, the readout is as sessions meant it that had the camera's checklist only: all rows at once where its text
/// says "global", else unknown.
Clock asNew(const Clock&);

/// The field of that object.
template <class Get, class Rule> decltype(auto) in(auto& object, const Field<Get, Rule>& field)
{
    if constexpr (std::is_member_pointer_v<Get>)
        return (object.*field.get);
    else
        return field.get(object);
}

std::string plainNumber(double); ///< "0.001"
void checkText(const Text&, const std::string&, const Place&);
void checkTime(const std::string&, const Place&);
void checkHex(const Hex&, const std::string&, const Place&);
void checkWhole(const Whole&, std::int64_t, const Place&);
void checkReal(const Real&, double, const Place&);
void checkNumber(std::int64_t, const Place&);
void checkTexts(std::span<const TextField>, const Texts&, const Place&);
void checkCount(std::size_t count, std::size_t least, std::size_t most, const char* what, const Place&);

Texts readTexts(std::span<const TextField>, const QJsonValue&, const Place&);
timing::FrameRate readRate(const QJsonValue&, const Place&);
QJsonValue written(const Texts&);
QJsonValue written(const timing::FrameRate&);
inline QString qtText(const std::string& utf8) { return QString::fromStdString(utf8); }
inline QJsonValue whole(std::int64_t value) { return QJsonValue(static_cast<qint64>(value)); }

/// The number in one of the types that stand for one.
template <class T> std::int64_t plain(const T& value)
{
    if constexpr (std::is_integral_v<T>)
        return value;
    else
        return value.value;
}
template <class T> void assign(T& to, std::int64_t value)
{
    if constexpr (std::is_integral_v<T>)
        to = static_cast<T>(value);
    else
        to = T{value};
}

template <class T> void readFields(const QJsonValue&, const Place&, T&);
template <class T> QJsonObject writtenFields(const T&);
template <class T> void checkFields(const T&, const Place&);

template <class Rule, class T> void readValue(const Rule& rule, const QJsonValue& value, const Place& place, T& to);
template <class Rule, class T>
void readValue(const Rule& rule, const QJsonValue& value, const Place& place, std::optional<T>& to)
{
    readValue(rule, value, place, to.emplace());
}
template <class Rule, class T>
void readValue(const List<Rule>& list, const QJsonValue& value, const Place& place, std::vector<T>& to)
{
    to.clear();
    std::size_t i = 0;
    for (const auto item : listOf(value, list.most, place))
        readValue(list.of, item, Place(place, i++), to.emplace_back());
}
template <class E, std::size_t N>
void readValue(const OneOf<E, N>& rule, const QJsonValue& value, const Place& place, E& to)
{
    to = static_cast<E>(choiceOf(value, rule.names, place));
}
template <class Rule, class T> void readValue(const Rule& rule, const QJsonValue& value, const Place& place, T& to)
{
    if constexpr (std::is_same_v<Rule, Text> || std::is_same_v<Rule, Time> || std::is_same_v<Rule, Hex>) {
        to = textOf(value, place);
    } else if constexpr (std::is_same_v<Rule, Number>) {
        const std::int64_t number = integerOf(value, place);
        checkNumber(number, place);
        assign(to, number);
    } else if constexpr (std::is_same_v<Rule, Whole>) {
        const std::int64_t number = integerOf(value, place);
        checkWhole(rule, number, place); // a smaller type must hold it
        assign(to, number);
    } else if constexpr (std::is_same_v<Rule, Real>) {
        to = numberOf(value, place);
    } else if constexpr (std::is_same_v<Rule, Flag>) {
        to = flagOf(value, place);
    } else if constexpr (std::is_same_v<Rule, Checklist>) {
        to = readTexts(rule.fields(), value, place);
    } else if constexpr (std::is_same_v<Rule, Rate>) {
        to = readRate(value, place);
    } else if constexpr (std::is_same_v<Rule, Stamp>) {
        to = value.isNull() ? std::numeric_limits<double>::quiet_NaN() : numberOf(value, place);
    } else {
        static_assert(std::is_same_v<Rule, Nested>);
        readFields(value, place, to);
    }
}

template <class Rule, class T> QJsonValue writtenValue(const Rule& rule, const T& value);
template <class Rule, class T> QJsonValue writtenValue(const Rule& rule, const std::optional<T>& value)
{
    return writtenValue(rule, *value);
}
template <class Rule, class T> QJsonValue writtenValue(const List<Rule>& list, const std::vector<T>& items)
{
    QJsonArray array;
    for (const T& item : items)
        array.append(writtenValue(list.of, item));
    return array;
}
template <class E, std::size_t N> QJsonValue writtenValue(const OneOf<E, N>& rule, const E& value)
{
    return QLatin1String(rule.names[static_cast<std::size_t>(value)]);
}
template <class Rule, class T> QJsonValue writtenValue(const Rule&, const T& value)
{
    if constexpr (std::is_same_v<Rule, Text> || std::is_same_v<Rule, Time> || std::is_same_v<Rule, Hex>)
        return qtText(value);
    else if constexpr (std::is_same_v<Rule, Number> || std::is_same_v<Rule, Whole>)
        return whole(plain(value));
    else if constexpr (std::is_same_v<Rule, Real>)
        return value + 0.0; // Qt writes -0.0 as "-0": equal values are to give equal bytes
    else if constexpr (std::is_same_v<Rule, Flag>)
        return value;
    else if constexpr (std::is_same_v<Rule, Checklist> || std::is_same_v<Rule, Rate>)
        return written(value);
    else if constexpr (std::is_same_v<Rule, Stamp>)
        return std::isnan(value) ? QJsonValue() : QJsonValue(value + 0.0);
    else
        return writtenFields(value);
}

template <class Rule, class T> void checkValue(const Rule& rule, const T& value, const Place& place);
template <class Rule, class T> void checkValue(const Rule& rule, const std::optional<T>& value, const Place& place)
{
    if (value)
        checkValue(rule, *value, place);
}
template <class Rule, class T> void checkValue(const List<Rule>& list, const std::vector<T>& items, const Place& place)
{
    checkCount(items.size(), list.least, list.most, list.what, place);
    std::size_t i = 0;
    for (const T& item : items)
        checkValue(list.of, item, Place(place, i++));
}
template <class E, std::size_t N> void checkValue(const OneOf<E, N>&, const E&, const Place&) {}
template <class Rule, class T>
void checkValue([[maybe_unused]] const Rule& rule, [[maybe_unused]] const T& value, const Place& place)
{
    if constexpr (std::is_same_v<Rule, Text>)
        checkText(rule, value, place);
    else if constexpr (std::is_same_v<Rule, Time>)
        checkTime(value, place);
    else if constexpr (std::is_same_v<Rule, Hex>)
        checkHex(rule, value, place);
    else if constexpr (std::is_same_v<Rule, Number>)
        checkNumber(plain(value), place);
    else if constexpr (std::is_same_v<Rule, Whole>)
        checkWhole(rule, plain(value), place);
    else if constexpr (std::is_same_v<Rule, Real>)
        checkReal(rule, value, place);
    else if constexpr (std::is_same_v<Rule, Checklist>)
        checkTexts(rule.fields(), value, place);
    else if constexpr (std::is_same_v<Rule, Rate>)
        require(value.numerator() > 0, place, [] { return std::string("an exact capture rate has to be above 0"); });
    else if constexpr (std::is_same_v<Rule, Stamp>)
        require(std::isnan(value) || std::abs(value) <= limits::stampSeconds, place,
                [] { return "a stamp has to lie within " + plainNumber(limits::stampSeconds) + " s"; });
    else if constexpr (std::is_same_v<Rule, Nested>)
        checkFields(value, place);
    else
        static_assert(std::is_same_v<Rule, Flag>);
}

template <class T> void readFields(const QJsonValue& value, const Place& place, T& object)
{
    Fields given(value, place);
    FieldTable<T>::fields([&](const auto& field) {
        const QJsonValue there = field.always ? given.take(field.key) : given.takeIfThere(field.key);
        auto& to = in(object, field);
        if (!there.isUndefined()) {
            readValue(field.rule, there, Place(place, field.key), to);
        } else {
            const T fresh = asNew(object); // by what was read before it
            to = in(fresh, field);
        }
    });
    given.done();
}

/// visit(field, its value) for what stands in the file.
template <class T> void forWritten(const T& object, auto visit)
{
    const T fresh = asNew(object);
    FieldTable<T>::fields([&](const auto& field) {
        const auto& value = in(object, field);
        if (field.always || !(value == in(fresh, field)))
            visit(field, value);
    });
}

template <class T> QJsonObject writtenFields(const T& object)
{
    QJsonObject out;
    forWritten(object, [&](const auto& field, const auto& value) {
        out.insert(QLatin1String(field.key), writtenValue(field.rule, value));
    });
    return out;
}

template <class T> void checkFields(const T& object, const Place& place)
{
    forWritten(object,
               [&](const auto& field, const auto& value) { checkValue(field.rule, value, Place(place, field.key)); });
    if constexpr (requires { checkTogether(object, place); })
        checkTogether(object, place);
}

} // namespace session
