#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/model/worker.h"
#include "ui/model/session_model.h"

class QPushButton;

namespace ui {

class ChoiceBox;
class CommitEdit;
class PictureFindings;

/// Whether every picture of a clock's captures shows something new: by what moves in them, or by a lamp that blinks
/// just below half the claimed rate. What is found goes into the session, as one edit.
class PicturesPanel : public Panel {
    Q_OBJECT
public:
    explicit PicturesPanel(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ClockId clock);
    /// What the background has seen already needn't be decoded again. Outlives this.
    void setFindings(const PictureFindings& findings);

private:
    using Findings = std::vector<std::pair<session::CaptureId, session::PictureFinding>>;
    void look();
    void blink();
    void begin(const QString& state);
    void arrived(const Findings& findings, const QString& fault);
    void showFindings();
    std::optional<session::PictureFinding> findingOn(const session::Capture& capture) const;

    SessionModel& m_model;
    const PictureFindings* m_findings = nullptr;
    session::ClockId m_clock;
    session::CaptureId m_capture;
    bool m_busy = false;
    Label *m_words, *m_state;
    ChoiceBox* m_captures;
    CommitEdit* m_frequency;
    QPushButton *m_look, *m_blink;
    Worker m_worker; ///< last: stops before what it reports to goes
};

} // namespace ui
