#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/report/budget_table.h"
#include "ui/results/results_view.h"

class QPushButton;

namespace ui {

class BudgetTable;
class ChoiceBox;

/// The uncertainty of the selected configuration's mean, or of its difference to the baseline, line by line, so that
/// anyone can work it out again.
class BudgetPanel : public Panel {
    Q_OBJECT
public:
    explicit BudgetPanel(QWidget* parent = nullptr);
    void show(const ResultsView& view);
    /// The table in view onto the clipboard: with tabs between as text, and all budgets of the session as CSV.
    void copy() const;

private:
    void refresh();
    void showCorrections();

    std::optional<report::BudgetTable> m_shown;
    QString m_title; ///< of the table in view
    ResultsView m_view;
    bool m_ofDifference = false;
    ChoiceBox* m_which;
    BudgetTable* m_table;
    QPushButton* m_copy;
    Label *m_note, *m_corrections, *m_nothing;
};

/// Painted table of a budget.
class BudgetTable : public QWidget {
    Q_OBJECT
public:
    using QWidget::QWidget;
    void show(const report::BudgetTable& table);
    QSize sizeHint() const override { return {260, 240}; }

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;

private:
    struct Line {
        QString source, how, u, dof{}, share{}; ///< `how`: cause times weight, on a line of its own
        bool strong = false;
        int height = 0; ///< long sources take several lines
    };
    void measure();
    QVector<Line> m_lines;
};

} // namespace ui
