#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/results/results_view.h"

namespace ui {

class BudgetTable;
class ChoiceBox;

/// The uncertainty of the selected configuration's mean, or of its difference to the baseline, line by line, so that anyone
/// can work it out again.
class BudgetPanel : public QWidget {
    Q_OBJECT
public:
    explicit BudgetPanel(QWidget* parent = nullptr);
    void show(const ResultsView& view);

private:
    void refresh();

    ResultsView m_view;
    bool m_ofDifference = false;
    Panel* m_panel;
    ChoiceBox* m_which;
    BudgetTable* m_table;
    Label *m_note, *m_nothing;
};

/// Painted table of a budget.
class BudgetTable : public QWidget {
    Q_OBJECT
public:
    using QWidget::QWidget;
    void show(const std::vector<stats::BudgetLine>& lines, const stats::Expanded& interval);
    QSize sizeHint() const override { return {260, 240}; }

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;

private:
    struct Line {
        QString source, u, dof, share;
        bool strong = false;
        int height = 0; ///< long sources take several lines
    };
    void measure();
    QVector<Line> m_lines;
};

} // namespace ui
