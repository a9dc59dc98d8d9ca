#pragma once
#include "ui/look/panel.h"
#include "ui/model/session_model.h"

namespace ui {

class ChoiceBox;
class CommitEdit;
class CommitText;
class Fold;

/// What is decided before the footage is seen. Baseline and the smallest difference that matters stand by themselves;
/// planned counts, event definition, question and cautions fold away behind a line of what they say.
class PlanPanel : public QWidget {
    Q_OBJECT
public:
    explicit PlanPanel(SessionModel& model, QWidget* parent = nullptr);
    void refresh();

private:
    CommitEdit* textField(const QString& label, const QString& placeholder, std::string session::Settings::*field);
    CommitEdit* numberField(const QString& what, double above, double below,
                            std::function<void(session::Settings&, std::optional<double>)> set, const QString& label);
    CommitEdit* countField(const QString& what, std::optional<int> session::Plan::*field, const QString& label);
    void buildComparison(QVBoxLayout& column);
    void buildCounts(QVBoxLayout& column);
    void buildEvent(QVBoxLayout& column);
    void buildQuestion(QVBoxLayout& column);
    void buildCautions(QVBoxLayout& column);
    void sayPurposes(const session::Settings& settings);

    SessionModel& m_model;
    CommitText* m_question = nullptr;
    CommitText* m_reaction = nullptr;
    CommitEdit *m_title = nullptr, *m_reader = nullptr, *m_threshold = nullptr, *m_limit = nullptr;
    CommitEdit *m_margin = nullptr, *m_trials = nullptr, *m_runs = nullptr, *m_level = nullptr,
               *m_baselineTrials = nullptr, *m_baselineRuns = nullptr;
    ChoiceBox *m_lamp = nullptr, *m_onset = nullptr, *m_baseline = nullptr;
    Label *m_marginTime = nullptr, *m_planTime = nullptr;
    Fold *m_counts = nullptr, *m_event = nullptr, *m_words = nullptr, *m_cautions = nullptr;
};

} // namespace ui
