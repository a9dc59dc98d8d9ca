#pragma once
#include <QObject>
#include "core/reading/same_footage.h"
#include "ui/desk/captures.h"
#include "ui/model/worker.h"

namespace ui {

/// Links captures to footage that has moved.
class Relink : public QObject {
    Q_OBJECT
public:
    Relink(SessionModel& model, Captures& captures, QObject* parent = nullptr);
    /// Others that are missing and lie beside it under their names are linked as well.
    void relink(session::CaptureId id, const QString& path);

signals:
    void told(const QString& sentence);

private:
    void compare(session::CaptureId id, const QString& path, bool asked);
    void link(session::CaptureId id, const QString& path, const reading::FootageComparison& finding);
    void besides(const QString& folder, session::CaptureId linked);

    SessionModel& m_model;
    Captures& m_captures;
    Worker m_worker;
};

} // namespace ui
