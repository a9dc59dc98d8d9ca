#pragma once
#include <QByteArray>

namespace session {

/// What resources/tallyframe-session.schema.json holds: JSON Schema of toJson(), made from the tables of fields.
QByteArray sessionSchema();

} // namespace session
