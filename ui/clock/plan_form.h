#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/model/worker.h"
#include "ui/model/session_model.h"

class QPushButton;

namespace ui {

class CommitEdit;

/// How long to film a blinking lamp, and at which frequency, for a wanted uncertainty of the capture rate.
class PlanForm : public QWidget {
    Q_OBJECT
public:
    explicit PlanForm(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ClockId clock);

private:
    void plan();

    SessionModel& m_model;
    session::ClockId m_clock;
    CommitEdit *m_rate, *m_frequency, *m_tolerance, *m_wanted;
    Label* m_result;
    Worker m_worker; ///< last: stops before what it reports to goes
};

} // namespace ui
