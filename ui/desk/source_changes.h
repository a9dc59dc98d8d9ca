#pragma once
#include <QObject>
#include "ui/model/session_model.h"
#include "ui/model/worker.h"

namespace ui {

/// Which files and which moving picture a capture is: files that the camera split are joined, another stream is chosen.
class SourceChanges : public QObject {
    Q_OBJECT
public:
    explicit SourceChanges(SessionModel& model, QObject* parent = nullptr);

    /// The capture after it in order goes on its recording. Undo takes them apart.
    void joinNext(session::CaptureId id);
    void chooseStream(session::CaptureId id, int stream); ///< by the container's number

signals:
    void problem(const QString& sentence);
    void cue(const QString& sentence); ///< what is being done; passes by itself

private:
    bool mayRead(const session::Capture& capture);

    SessionModel& m_model;
    Worker m_worker;
};

/// The capture after this one in order; null when it is the last.
const session::Capture* captureAfter(const session::Document& document, session::CaptureId id);

} // namespace ui
