#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/analysis/plan_effort.h"
#include "ui/model/session_results.h"
#include <functional>

class QGridLayout;

namespace ui {

class ChoiceBox;
class CommitEdit;
class FormGrid;
class KeyButton;

/// How many runs and trials the margin takes, worked out as the analyst types, and what other cameras or counts would
/// buy.
class EffortPanel : public QWidget {
    Q_OBJECT
public:
    EffortPanel(SessionModel& model, SessionResults& results, QWidget* parent = nullptr);
    void refresh();
    void takeOver(); ///< the session's plan gets the numbers, by one edit

private:
    /// What may be typed into a field and what of the plan's basis it is.
    struct Input {
        double least, most;
        std::function<std::optional<double>(const session::PlanBasis&)> get;
        std::function<void(session::PlanBasis&, std::optional<double>)> set;
        bool leastIn = true, whole = false;
        CommitEdit* edit = nullptr;
        bool allows(double value) const;
    };
    CommitEdit* field(FormGrid& form, const char* name, const QString& label, const QString& unit, const QString& what,
                      const Input& input);
    void buildInputs(QVBoxLayout& column);
    void buildAnswer(QVBoxLayout& column);
    void store(const std::function<void(session::PlanBasis&)>& change);
    session::PlanBasis basis() const; ///< of the session, with what is being typed
    void answer();
    void showOptions();

    SessionModel& m_model;
    SessionResults& m_results;
    analysis::PilotFigures m_pilot;
    analysis::PlanEffort m_answer;
    QVector<Input> m_inputs;
    ChoiceBox* m_from = nullptr;
    CommitEdit *m_refreshHz = nullptr, *m_rate = nullptr, *m_extra = nullptr, *m_withinSd = nullptr,
               *m_betweenSd = nullptr, *m_shared = nullptr, *m_comparisons = nullptr, *m_power = nullptr,
               *m_trialsPerRun = nullptr, *m_runCost = nullptr;
    Label *m_numbers = nullptr, *m_words = nullptr, *m_basis = nullptr, *m_taken = nullptr;
    ShapeLabel* m_wrong = nullptr;
    QWidget* m_table = nullptr;
    QGridLayout* m_options = nullptr;
    KeyButton* m_take = nullptr;
};

} // namespace ui
