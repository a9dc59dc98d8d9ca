#pragma once // not public: how things are written into a JSON object
#include "core/session/ids.h"
#include <QJsonObject>
#include <optional>
#include <string>

namespace session {

inline QString text(const std::string& utf8) { return QString::fromStdString(utf8); }

inline QJsonValue integer(std::int64_t value) { return QJsonValue(static_cast<qint64>(value)); }

/// Qt writes -0.0 as "-0": equal values are to give equal bytes.
inline double plain(double value) { return value + 0.0; }

inline void put(QJsonObject& object, const char* key, const std::optional<double>& value)
{
    if (value)
        object.insert(QLatin1String(key), plain(*value));
}

inline void put(QJsonObject& object, const char* key, const std::optional<int>& value)
{
    if (value)
        object.insert(QLatin1String(key), *value);
}

template <class Tag> void putReference(QJsonObject& object, const char* key, Id<Tag> id)
{
    if (id)
        object.insert(QLatin1String(key), integer(id.value));
}

} // namespace session
