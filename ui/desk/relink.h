#pragma once
#include <QObject>
#include "core/reading/same_footage.h"
#include "ui/desk/captures.h"
#include "ui/model/worker.h"
#include <functional>
#include <set>

namespace ui {

/// Links captures to footage that has moved: silently where the bytes are the same, also to what lies under its name
/// below the session's folder; where only frames, stamps and marked pictures are the same it is offered.
class Relink : public QObject {
    Q_OBJECT
public:
    Relink(SessionModel& model, Captures& captures, QObject* parent = nullptr);
    /// Others that are missing and lie beside it under their names are linked as well.
    void relink(session::CaptureId id, const QString& path);

signals:
    void told(const QString& sentence);
    void offered(const QString& sentence, const std::function<void()>& link);

private:
    void compare(session::CaptureId id, const QString& path, bool asked);
    void link(session::CaptureId id, const QString& path, const reading::FootageComparison& finding);
    void besides(const QString& folder, session::CaptureId linked);

    void lookForMoved();

    SessionModel& m_model;
    Captures& m_captures;
    std::set<std::pair<session::CaptureId, QString>> m_lookedFor; ///< with the path that nothing was found under
    Worker m_worker, m_seeker{10};
};

} // namespace ui
