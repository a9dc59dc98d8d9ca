#pragma once
#include <QObject>
#include "core/reading/follow_frames.h"
#include "ui/model/session_model.h"
#include "ui/model/worker.h"
#include <memory>

namespace ui {

/// Footage can be read as soon as its packets are known; decoding then proves which frames there are. Where it finds
/// others, or finds damage, the session follows: marks stay on the picture they were set on.
class DecodedFrames : public QObject {
    Q_OBJECT
public:
    explicit DecodedFrames(SessionModel& model, QObject* parent = nullptr);

    /// Footage of the session has been decoded to its end. `path` as SessionModel::footagePath() has it.
    void follow(const QString& path, const media::Confirmation& confirmation);

signals:
    void problem(const QString& sentence); ///< what the analyst has to know
    /// The session holds the frames as decoded; `fault` says why it can't. Null where it needn't.
    void followed(const QString& path, const std::shared_ptr<const session::DecodedFrames>& found,
                  const QString& fault);

private:
    void take(const QString& path, const std::shared_ptr<const session::DecodedFrames>& found,
              const std::optional<std::string>& difference);

    SessionModel& m_model;
    Worker m_worker;
};

} // namespace ui
