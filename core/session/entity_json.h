#pragma once
#include "core/session/edit.h"
#include "core/session/place.h"
#include <QJsonObject>

/// Things of a session as JSON objects, for the session file and for the journal. Optional fields and references to
/// nothing (number 0) are left out; every other field is always written.
namespace session {

QJsonObject toObject(const Settings&);
QJsonObject toObject(const Configuration&);
QJsonObject toObject(const Run&);
QJsonObject toObject(const ErrorSource&);
QJsonObject toObject(const Clock&);
QJsonObject toObject(const Capture&);
QJsonObject toObject(const Trial&);
QJsonObject toObject(const Edit&);

/// Shape only (fields, types, whole numbers); values are checked with the session they go into. Throw Problem.
void read(const QJsonValue&, const Place&, Settings&);
void read(const QJsonValue&, const Place&, Configuration&);
void read(const QJsonValue&, const Place&, Run&);
void read(const QJsonValue&, const Place&, ErrorSource&);
void read(const QJsonValue&, const Place&, Clock&);
void read(const QJsonValue&, const Place&, Capture&);
void read(const QJsonValue&, const Place&, Trial&);
void read(const QJsonValue&, const Place&, Edit&);

} // namespace session
