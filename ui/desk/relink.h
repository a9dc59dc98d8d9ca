#pragma once
#include <QObject>
#include "ui/desk/session_footage.h"
#include "ui/model/worker.h"

namespace ui {

/// What comparing a file with what a capture remembers says.
struct RelinkFinding {
    bool same = false;
    QString sentence; ///< why not; with `same`: what differs although it is the same, or nothing
    QString sha256;
};

/// The file is the capture's when its checksum is; else when frames, size and every marked picture are. A mark never
/// moves to another file by number alone. Blocks; throws core::Error when the file can't be read.
RelinkFinding compareFootage(const session::Document& document, const session::Capture& capture, const QString& path,
                             std::stop_token stop);

/// Links captures to footage that has moved.
class Relink : public QObject {
    Q_OBJECT
public:
    Relink(SessionModel& model, SessionFootage& footage, QObject* parent = nullptr);
    /// Others that are missing and lie beside it under their names are linked as well.
    void relink(session::CaptureId id, const QString& path);

signals:
    void told(const QString& sentence);

private:
    void compare(session::CaptureId id, const QString& path, bool asked);
    void link(session::CaptureId id, const QString& path, const RelinkFinding& finding);
    void besides(const QString& folder, session::CaptureId linked);

    SessionModel& m_model;
    SessionFootage& m_footage;
    Worker m_worker;
};

} // namespace ui
