#pragma once
#include <QObject>
#include "ui/model/session_model.h"
#include <map>

namespace ui {

/// Where the analyst is: capture, frame in view, trial, regions in use. Capture and frame are there again when the
/// session is, the rest lives only while the window does. Follows the session when what it points at goes.
class DeskState : public QObject {
    Q_OBJECT
public:
    explicit DeskState(SessionModel& model, QObject* parent = nullptr);

    session::CaptureId captureId() const { return m_capture; }
    session::TrialId trialId() const { return m_trial; } ///< 0: the next press mark begins a trial
    const session::Capture* capture() const;             ///< of the accepted snapshot; null without one
    const session::Trial* trial() const;
    const session::Reading* reading() const; ///< the counting one of the trial; while blind the blind one, or null
    session::ConfigurationId configuration() const; ///< of the trial, else of the capture; 0: none
    bool blind() const { return m_blind; }          ///< earlier marks, names and numbers are hidden
    const session::RereadPlace* place() const;      ///< what is shown of the trial at hand while blind; null else
    timing::FrameNumber firstFrame() const; ///< frames are counted from it on screen: 0, or where the place begins

    /// The trial's regions, else those chosen for the capture, else its first; null while not drawn.
    const session::Region* region(session::RegionKind kind) const;
    /// For the next trials of the capture on the desk, as soon as it is there.
    void chooseRegion(session::RegionKind kind, session::RegionId id);

    timing::FrameNumber frame() const { return m_frame; }
    bool delaysShown() const { return m_delaysShown; }

    void setCapture(session::CaptureId id); ///< goes to the frame that was in view in it last
    void setTrial(session::TrialId id);     ///< of the capture on the desk, or 0
    void setFrame(timing::FrameNumber n);   ///< clamped to the capture
    /// Decoding gave the capture's frames other numbers: what was in view in it stays in view.
    void followFrames(session::CaptureId id, const std::function<timing::FrameNumber(timing::FrameNumber)>& now);
    void setDelaysShown(bool shown);
    void setBlind(bool blind); ///< needs trials drawn for it; a packet is never anything else

signals:
    void captureChanged();
    void trialChanged(); ///< another trial, or the same one changed
    void frameChanged();
    void regionsChanged();
    void delaysShownChanged();
    void blindChanged();

private:
    void follow();
    void replaced();
    void goToLastPlace();
    void keepPlace() const;

    SessionModel& m_model;
    QString m_session; ///< its file
    session::CaptureId m_capture;
    session::TrialId m_trial;
    timing::FrameNumber m_frame;
    std::map<session::CaptureId, timing::FrameNumber> m_lastFrames;
    std::map<session::CaptureId, std::map<session::RegionKind, session::RegionId>> m_chosen;
    bool m_delaysShown = false, m_blind = false;
};

} // namespace ui
