#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/timing/stamp_pieces.h"
#include "core/timing/stamp_steps.h"
#include "ui/model/worker.h"
#include "ui/model/session_model.h"
#include <map>
#include <set>

class QGridLayout;

namespace ui {

class ChoiceBox;
class CommitEdit;
class StepPlot;

/// What the stamps of one clock's captures show, and whether time is read from them or from the frames' numbers.
class StampPanel : public Panel {
    Q_OBJECT
public:
    explicit StampPanel(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ClockId clock);

protected:
    void showEvent(QShowEvent*) override; ///< stamps are read when they are first looked at

private:
    /// Of one capture; kept while the window is open.
    struct Shown {
        timing::StampPattern pattern;
        timing::StampSteps steps;
        std::vector<timing::StampPiece> pieces;
        QString fault{};
    };
    void showCapture();
    void showFigures(const session::Capture& capture, const Shown& shown);
    void showSource(const session::Clock& clock);
    void chooseSource(bool stamps);
    void setLine(int row, const QString& name, const QString& value);

    SessionModel& m_model;
    session::ClockId m_clock;
    session::CaptureId m_capture;
    std::map<std::pair<session::CaptureId, std::string>, Shown> m_shown; ///< by capture and checksum
    std::set<std::pair<session::CaptureId, std::string>> m_asked;
    ChoiceBox *m_captures, *m_source;
    CommitEdit* m_slowDown;
    QWidget *m_slowRow, *m_figures;
    QGridLayout* m_grid;
    std::vector<std::pair<Label*, Label*>> m_lines;
    StepPlot* m_plot;
    Label *m_state, *m_runs, *m_sourceNote;
    Worker m_worker; ///< last: stops before what it reports to goes
};

} // namespace ui
