#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/timing/reference_fit.h"
#include "ui/clock/frame_field.h"

class QPushButton;

namespace ui {

class ChoiceBox;
class CommitEdit;
class FormGrid;

/// The capture rate from two events of known distance: a known time apart, or so many refreshes of a display whose
/// refresh rate was measured.
class EventsForm : public QWidget {
    Q_OBJECT
public:
    enum class Distance { Time, Refreshes };
    EventsForm(SessionModel& model, Distance distance, QWidget* parent = nullptr);
    void show(session::ClockId clock);
    void setFrameInView(const AskFrameInView& ask);

private:
    /// What the fields make of it; `fault` says what is missing or wrong, and then nothing else holds.
    struct Worked {
        QString fault;
        timing::ReferenceFit fit;
        double seconds = 0;
    };
    Worked work() const;
    void showWorked();
    void use();
    std::string distanceName() const;

    SessionModel& m_model;
    const Distance m_distance;
    session::ClockId m_clock;
    session::CaptureId m_capture;
    qint64 m_choice = 0;
    ChoiceBox *m_captures, *m_shared;
    FrameField *m_first, *m_second;
    CommitEdit *m_apart, *m_refresh = nullptr, *m_tolerance, *m_name;
    QPushButton* m_use;
    Label* m_result;
};

} // namespace ui
