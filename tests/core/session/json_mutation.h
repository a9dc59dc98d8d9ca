#pragma once
#include <QByteArray>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <random>

/// Session files that went wrong, by seeded chance.
namespace mutation {

using Random = std::mt19937_64;

inline std::size_t below(Random& random, std::size_t limit) { return static_cast<std::size_t>(random() % limit); }

inline QJsonValue oddValue(Random& random)
{
    switch (below(random, 16)) {
    case 0: return QJsonValue::Null;
    case 1: return true;
    case 2: return -1;
    case 3: return 0;
    case 4: return 1e300;
    case 5: return -0.5;
    case 6: return QJsonValue(qint64(9'223'372'036'854'775'807));
    case 7: return QJsonValue(qint64(1) << 53);
    case 8: return QString();
    case 9: return QString(30'000, u'x');
    case 10: return QStringLiteral("tag\u0007");
    case 11: return QStringLiteral("../../etc/π");
    case 12: return QJsonArray();
    case 13: return QJsonArray{1, QStringLiteral("two"), QJsonObject()};
    case 14: return QJsonObject();
    default: return static_cast<int>(below(random, 100));
    }
}

/// One place in it is replaced, removed, doubled or swapped.
inline QJsonValue mutated(const QJsonValue& value, Random& random)
{
    const bool here = below(random, 7) == 0;
    if (value.isObject() && !here && !value.toObject().isEmpty()) {
        QJsonObject object = value.toObject();
        const QString key = object.keys().at(static_cast<qsizetype>(below(random, object.size())));
        switch (below(random, 12)) {
        case 0: object.remove(key); break;
        case 1: object.insert(key + QStringLiteral("~/x"), object.value(key)); break;
        default: object.insert(key, mutated(object.value(key), random));
        }
        return object;
    }
    if (value.isArray() && !here && !value.toArray().isEmpty()) {
        QJsonArray array = value.toArray();
        const auto i = static_cast<qsizetype>(below(random, array.size()));
        switch (below(random, 12)) {
        case 0: array.removeAt(i); break;
        case 1: array.insert(i, QJsonValue(array.at(i))); break;
        default: array.replace(i, mutated(array.at(i), random));
        }
        return array;
    }
    return oddValue(random);
}

inline QByteArray mutatedJson(const QByteArray& json, Random& random)
{
    QJsonObject object = QJsonDocument::fromJson(json).object();
    const int times = 1 + static_cast<int>(below(random, 2));
    for (int i = 0; i < times; ++i) {
        const QJsonValue changed = mutated(object, random);
        if (changed.isObject())
            object = changed.toObject();
    }
    return QJsonDocument(object).toJson();
}

/// A few bytes flipped, cut out, doubled or cut off.
inline QByteArray mutatedBytes(QByteArray bytes, Random& random)
{
    const int times = 1 + static_cast<int>(below(random, 3));
    for (int i = 0; i < times && !bytes.isEmpty(); ++i) {
        const auto at = static_cast<qsizetype>(below(random, bytes.size()));
        const auto length = static_cast<qsizetype>(1 + below(random, 40));
        switch (below(random, 5)) {
        case 0: bytes[at] = static_cast<char>(random()); break;
        case 1: bytes[at] = "{}[]\",:\\0-e.n"[below(random, 13)]; break;
        case 2: bytes.remove(at, length); break;
        case 3: bytes.insert(at, bytes.mid(at, length)); break;
        default:
            if (below(random, 4) == 0)
                bytes.truncate(at);
            else
                bytes.insert(at, static_cast<char>(random()));
        }
    }
    return bytes;
}

} // namespace mutation
