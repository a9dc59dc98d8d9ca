#pragma once
#include <QWidget>
#include "ui/results/results_view.h"
#include "ui/results/value_axis.h"

namespace ui {

class RowList;

/// One row a configuration on one shared axis: its mean and in a sentence what it adds, how sure that is and what is
/// missing; or all its figures and its verdict.
class ResultsTable : public QWidget {
    Q_OBJECT
public:
    explicit ResultsTable(QWidget* parent = nullptr);
    void show(const ResultsView& view);
    void showAllFigures(bool all);
    RowList& list() { return *m_list; }

signals:
    void chosen(session::ConfigurationId id);

protected:
    void paintEvent(QPaintEvent*) override; ///< column headings

private:
    void measureAxis();

    ResultsView m_view;
    std::optional<ValueAxis> m_axis; ///< empty where no trial has a delay
    bool m_allFigures = false;
    RowList* m_list;
};

} // namespace ui
