#pragma once
#include "ui/look/panel.h"
#include "ui/model/session_model.h"

namespace ui {

class Checklist;
class ChoiceBox;
class CommitEdit;
class CorrectionsPanel;
class Fold;
class RowList;

/// Runs, corrections, rig and camera modes: what stays the same across configurations, and when it was touched. Each
/// folds away behind a line of what it is for.
class RecordPanel : public QWidget {
    Q_OBJECT
public:
    explicit RecordPanel(SessionModel& model, QWidget* parent = nullptr);
    void refresh();

private:
    void buildRuns(QVBoxLayout& column);
    void buildRig(QVBoxLayout& column);
    void buildCamera(QVBoxLayout& column);
    void addRun();
    void refreshRuns(const session::Document& document);
    void refreshCamera(const session::Document& document);

    SessionModel& m_model;
    struct Run {
        session::RunId id;
        QString name, trials;
    };
    CorrectionsPanel* m_corrections;
    QVector<Run> m_runs;
    session::RunId m_run;
    session::ClockId m_clock;
    Fold *m_runPanel = nullptr, *m_rigPanel = nullptr, *m_cameraPanel = nullptr;
    RowList* m_runList = nullptr;
    CommitEdit *m_runName = nullptr, *m_runNote = nullptr;
    QWidget *m_runForm = nullptr, *m_noRuns = nullptr, *m_noClocks = nullptr;
    Checklist *m_rig = nullptr, *m_camera = nullptr;
    ChoiceBox* m_clocks = nullptr;
};

} // namespace ui
