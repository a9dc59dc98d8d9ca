#pragma once
#include <QByteArray>
#include <QJsonObject>

namespace session {

/// The object that the text holds. Throws Problem, with "line 3, column 14" instead of a JSON pointer, when it isn't
/// UTF-8, isn't JSON, nests deeper than limits::fileDepth or names a field of one object twice.
QJsonObject parseObject(const QByteArray& text);

} // namespace session
