#pragma once
#include "core/session/edit.h"
#include <QByteArray>

/// An edit as JSON, by the tables in field_tables.h.
namespace session {

QByteArray bodyOf(const Edit&);
/// Shape only (fields, types, whole numbers); values are checked with the session that they go into. Throws core::Error
/// (Malformed) when the bytes are no edit.
Edit editOf(const QByteArray& body);

} // namespace session
