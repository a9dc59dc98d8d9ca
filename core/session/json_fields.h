#pragma once
#include "core/session/place.h"
#include <QJsonArray>
#include <QJsonObject>
#include <QJsonValue>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace session {

/// One JSON object being read: every field is taken by name once, and what nobody took is refused.
/// All members throw Problem with the place of the field.
class Fields {
public:
    /// `in` must outlive this.
    Fields(const QJsonValue& value, const Place& in);

    QJsonValue take(const char* key);        ///< refuses the object when it isn't there
    QJsonValue takeIfThere(const char* key); ///< undefined when it isn't there
    void done();                             ///< refuses fields that nobody took

private:
    const Place& m_in;
    QJsonObject m_object;
    std::vector<QLatin1String> m_taken;
};

/// Throw Problem unless it is of that type; text without half surrogates, a whole number of 64 bits.
std::string textOf(const QJsonValue&, const Place&);
std::int64_t integerOf(const QJsonValue&, const Place&);
double numberOf(const QJsonValue&, const Place&);
bool flagOf(const QJsonValue&, const Place&);
QJsonArray listOf(const QJsonValue&, std::size_t limit, const Place&);                     ///< of at most `limit` items
std::size_t choiceOf(const QJsonValue&, std::span<const char* const> names, const Place&); ///< index among `names`

/// The object that the text holds. Throws Problem, with "line 3, column 14" instead of a JSON pointer, when it isn't
/// UTF-8, isn't JSON, nests deeper than limits::fileDepth or names a field of one object twice.
QJsonObject parseObject(const QByteArray& text);

} // namespace session
