#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/timing/calibration.h"
#include "ui/model/worker.h"
#include "ui/model/session_model.h"
#include <map>

class QBoxLayout;
class QPushButton;

namespace ui {

class ChoiceBox;
class CommitEdit;
class FitPlot;

/// The capture rate from a capture of a blinking lamp: find its edges, look at them, take the fit as the clock's
/// reference.
class ReferencePanel : public Panel {
    Q_OBJECT
public:
    explicit ReferencePanel(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ClockId clock);
    /// Form above the plot, else beside it.
    void setStacked(bool stacked);

private:
    /// What was found in one capture; kept while the window is open.
    struct Found {
        session::CaptureId capture;
        timing::ReferenceLamp lamp;
        std::vector<timing::Gap> gaps;
        std::vector<timing::RateEvidence> others;
        timing::Calibration calibration;
        std::vector<bool> kept; ///< one for each edge found
    };
    QWidget* buildForm();
    QWidget* buildOutcome();
    void fillCaptures(const session::Document& document);
    void find();
    void toggle(int edge);
    void showFound();
    void showEdge(int edge);
    void use();
    std::optional<timing::ReferenceLamp> lamp();
    Found* found();

    SessionModel& m_model;
    session::ClockId m_clock;
    session::CaptureId m_capture;
    qint64 m_choice = 0; ///< which lamp it is
    std::map<session::ClockId, Found> m_found;
    bool m_busy = false;
    ChoiceBox *m_captures = nullptr, *m_lamps = nullptr;
    CommitEdit *m_frequency = nullptr, *m_tolerance = nullptr;
    QPushButton *m_find = nullptr, *m_use = nullptr;
    Label *m_state = nullptr, *m_result = nullptr, *m_notes = nullptr, *m_edge = nullptr;
    FitPlot* m_plot = nullptr;
    QWidget *m_form = nullptr, *m_answer = nullptr, *m_outcome = nullptr;
    Label* m_nothing = nullptr; ///< in place of the outcome
    QBoxLayout* m_split = nullptr;
    Worker m_worker; ///< last: stops before what it reports to goes
};

} // namespace ui
