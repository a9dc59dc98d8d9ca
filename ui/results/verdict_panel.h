#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/results/results_view.h"

class QPushButton;

namespace ui {

class ChoiceBox;
class Fold;
class IntervalPlot;

/// What the selected configuration adds and how sure that is, why it is no surer and what to do next; what it rests on
/// folded behind.
class VerdictPanel : public Panel {
    Q_OBJECT
public:
    explicit VerdictPanel(QWidget* parent = nullptr);
    void show(const ResultsView& view);
    /// Opens the list of what the configuration can be compared with. Does nothing where there is no other.
    void chooseOther();

signals:
    void planAsked();
    void trialsAsked();
    void otherChosen(session::ConfigurationId id); ///< 0: the baseline, as all are

private:
    void fillChoices(const ResultsView& view);

    ChoiceBox* m_other;
    Label *m_says, *m_more, *m_rests, *m_warnings;
    Fold* m_fold;
    ShapeLabel* m_takeNote;
    IntervalPlot* m_plot;
    QPushButton *m_plan, *m_trials;
};

} // namespace ui
