#pragma once
#include "core/session/place.h"
#include <QJsonArray>
#include <QJsonObject>
#include <QJsonValue>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace session {

/// One JSON object being read: every field is asked for by name once, and what nobody asked for is refused.
/// All members throw Problem with the place of the field.
class Fields {
public:
    /// `in` must outlive this.
    Fields(const QJsonValue& value, const Place& in);

    std::string text(const char* key);
    bool flag(const char* key);
    double number(const char* key);
    std::int64_t integer(const char* key, std::int64_t least = std::numeric_limits<std::int64_t>::min(),
                         std::int64_t most = std::numeric_limits<std::int64_t>::max());
    int small(const char* key); ///< an integer of 32 bits
    /// Index of the text among `names`.
    std::size_t choice(const char* key, std::span<const char* const> names);
    template <class E, std::size_t N> E oneOf(const char* key, const char* const (&names)[N])
    {
        return static_cast<E>(choice(key, names));
    }
    template <class IdType> IdType id(const char* key) { return IdType{integer(key)}; }
    /// Of something that need not be: absent where it isn't.
    template <class IdType> IdType optionalId(const char* key) { return has(key) ? IdType{integer(key, 1)} : IdType{}; }
    std::optional<double> optionalNumber(const char* key);
    std::optional<int> optionalInteger(const char* key);

    /// read(value, place) for the field, if it is there.
    template <class Read> void optional(const char* key, Read read)
    {
        if (has(key))
            read(take(key), Place(m_in, key));
    }
    template <class Read> void object(const char* key, Read read) { read(take(key), Place(m_in, key)); }
    /// read(value, place) for every item of an array of at most `limit` items.
    template <class Read> void list(const char* key, std::size_t limit, Read read)
    {
        const Place place(m_in, key);
        const QJsonArray items = array(key, limit, place);
        std::size_t i = 0;
        for (const QJsonValue& item : items)
            read(item, Place(place, i++));
    }
    /// All names, for an object whose fields are a checklist.
    QStringList names() const { return m_object.keys(); }
    bool has(const char* key) const { return m_object.contains(QLatin1String(key)); }
    const Place& place() const { return m_in; }

    void done(); ///< refuses fields that nobody asked for

private:
    QJsonValue take(const char* key);
    QJsonArray array(const char* key, std::size_t limit, const Place& place);

    const Place& m_in;
    QJsonObject m_object;
    std::vector<QLatin1String> m_taken;
};

/// Throws Problem unless it is text without half surrogates.
std::string textOf(const QJsonValue&, const Place&);
std::int64_t integerOf(const QJsonValue&, const Place&);
double numberOf(const QJsonValue&, const Place&);

} // namespace session
