#pragma once
#include "ui/look/panel.h"
#include "ui/model/session_model.h"

namespace ui {

class ChoiceBox;
class CommitEdit;
class CommitText;

/// What is decided before the footage is seen: question, event definition, baseline, margin, planned counts, reader.
class PlanPanel : public QWidget {
    Q_OBJECT
public:
    explicit PlanPanel(SessionModel& model, QWidget* parent = nullptr);
    void refresh();

signals:
    void problem(const QString& sentence);

private:
    using Change = std::function<void(session::Settings&)>;
    void change(const QString& label, const Change& change);
    CommitEdit* textField(const QString& label, const QString& placeholder, std::string session::Settings::*field);
    CommitEdit* numberField(const QString& what, double above, double below,
                            std::function<void(session::Settings&, std::optional<double>)> set, const QString& label);
    CommitEdit* countField(const QString& what, std::optional<int> session::Plan::*field, const QString& label);
    void buildQuestion(QVBoxLayout& column);
    void buildEvent(QVBoxLayout& column);
    void buildComparison(QVBoxLayout& column);
    void buildCautions(QVBoxLayout& column);

    SessionModel& m_model;
    CommitText* m_question = nullptr;
    CommitText* m_reaction = nullptr;
    CommitEdit *m_title = nullptr, *m_reader = nullptr, *m_threshold = nullptr, *m_limit = nullptr;
    CommitEdit *m_margin = nullptr, *m_trials = nullptr, *m_runs = nullptr, *m_level = nullptr,
               *m_baselineTrials = nullptr, *m_baselineRuns = nullptr;
    ChoiceBox *m_lamp = nullptr, *m_onset = nullptr, *m_baseline = nullptr;
    Label *m_marginTime = nullptr, *m_planTime = nullptr;
};

} // namespace ui
