#pragma once
#include "core/session/edit.h"
#include "core/session/place.h"
#include <QJsonObject>

/// Things of a session as JSON objects, by the tables in field_tables.h.
namespace session {

QJsonObject toObject(const Entity&);
QJsonObject toObject(const Edit&);

/// `kind`: index in Entity. Shape only (fields, types, whole numbers); values are checked with the session they go
/// into. Throw Problem.
Entity readEntity(std::size_t kind, const QJsonValue&, const Place&);
void read(const QJsonValue&, const Place&, Edit&);

} // namespace session
