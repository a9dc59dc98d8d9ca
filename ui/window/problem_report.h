#pragma once
#include <QString>
#include <QStringList>

namespace ui {

class FootagePool;
class SessionModel;

/// What someone who is to find a fault needs to know: versions, the desktop, what the session holds, what kind of
/// files its footage is, and the problems that were told. Without paths, names and figures of the session.
QString problemReport(const SessionModel& model, const FootagePool& pool, const QStringList& problems);

/// Without paths, file names, what stands in quotation marks, and `known`.
QString withoutNames(QString sentence, const QStringList& known = {});

} // namespace ui
