#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/timing/line_time.h"
#include "ui/clock/capture_footage.h"
#include "ui/model/worker.h"

class QBoxLayout;
class QPushButton;

namespace ui {

class ChoiceBox;
class CommitEdit;

/// How the sensor of a clock's camera mode exposes its rows, typed in or measured from the bands of a pulsed light.
class ReadoutPanel : public Panel {
    Q_OBJECT
public:
    explicit ReadoutPanel(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ClockId clock);

protected:
    void resizeEvent(QResizeEvent*) override; ///< two columns where there is room

private:
    QWidget* buildForm();
    QWidget* buildMeasuring();
    void fillForm(const session::Clock& clock);
    void fillCaptures(const session::Document& document);
    void enableForm();
    void set(); ///< what the form says, as an edit
    void measure();
    void showMeasured();
    void use();
    QString effect(const session::Document& document, const session::Clock& clock) const;

    /// What the bands of one capture gave.
    struct Measured {
        session::ClockId clock;
        QString capture;
        timing::ReferenceLamp light;
        timing::LineTimeFit fit;
    };
    SessionModel& m_model;
    session::ClockId m_clock;
    std::optional<std::pair<session::ClockId, session::Readout>> m_filled; ///< what the form was filled from
    std::optional<Measured> m_measured;
    session::CaptureId m_capture;
    bool m_busy = false;
    QBoxLayout* m_columns;
    ChoiceBox *m_kind, *m_direction, *m_captures, *m_region;
    CommitEdit *m_lineTime, *m_tolerance, *m_note, *m_frequency, *m_lightTolerance, *m_frame;
    Label *m_effect, *m_result;
    QPushButton *m_measure, *m_use;
    Worker m_worker; ///< last: stops before what it reports to goes
};

} // namespace ui
