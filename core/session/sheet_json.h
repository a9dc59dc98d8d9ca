#pragma once
#include "core/session/json_fields.h"
#include "core/session/sheet.h"

/// Plan basis, run sheet, blind readings and packets as JSON, as entity_json.h does the rest.
namespace session {

QJsonObject toObject(const PlanBasis&);
QJsonObject toObject(const RunSheet&);
QJsonObject toObject(const Reread&);
QJsonObject toObject(const Packet&);

/// Throw Problem.
PlanBasis readPlanBasis(const QJsonValue&, const Place&);
RunSheet readRunSheet(const QJsonValue&, const Place&);
Reread readReread(const QJsonValue&, const Place&);
Packet readPacket(const QJsonValue&, const Place&);

} // namespace session
