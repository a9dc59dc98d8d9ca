#pragma once
#include "ui/clock/capture_footage.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <QWidget>
#include <functional>

class QPushButton;

namespace ui {

class CommitEdit;

/// A place on the reading desk.
struct FrameInView {
    session::CaptureId capture;
    timing::FrameNumber frame;
};
/// What is in view there; empty where it is nothing.
using AskFrameInView = std::function<std::optional<FrameInView>()>;

/// The number of a frame of one capture: typed in, or taken from the reading desk.
class FrameField : public QWidget {
    Q_OBJECT
public:
    /// `name` finds the field, `name` with "InView" its button, which stays away until setFrameInView().
    FrameField(SessionModel& model, const char* name, QWidget* parent = nullptr);
    void setFrameInView(AskFrameInView ask);
    void setCapture(session::CaptureId capture) { m_capture = capture; }
    CommitEdit& edit() { return *m_edit; }
    std::optional<timing::FrameNumber> frame() const; ///< empty while none is there

signals:
    void changed(); ///< by the analyst

private:
    void take();

    SessionModel& m_model;
    session::CaptureId m_capture;
    AskFrameInView m_inView;
    CommitEdit* m_edit;
    QPushButton* m_take;
};

} // namespace ui
